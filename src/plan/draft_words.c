/* plan/draft_words.c */
#include "plan/draft_words.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

enum { WORD_MAX = 32, NAME_CUT = 10, SYNONYMS = 14 };

static const char *const synonyms[HN_WORD_CLASSES][SYNONYMS] = {
    [HN_WORD_UP] = {"us", "up", "upstream", "upstr", "ups", "from", "fr", "start", "oben"},
    [HN_WORD_DOWN] = {"ds", "dn", "down", "downstream", "dwn", "dnstr", "to", "unten"},
    [HN_WORD_NODE] = {"node", "mh", "manhole", "junction", "end", "schacht", "chamber",
                      "structure"},
    [HN_WORD_ID] = {"id", "key", "no", "num", "number", "code", "compkey", "gisid", "nr", "ref"},
    [HN_WORD_PIPE] = {"pipe", "segment", "seg", "sewer", "asset", "main", "line", "sani", "conduit",
                      "haltung", "facility", "facilityid", "assetid", "pipeid"},
    [HN_WORD_ROW_ID] = {"objectid", "fid", "oid", "globalid", "guid", "uuid", "gid"},
    [HN_WORD_INVERT] = {"inv", "invert", "in", "il", "ie", "sohle", "sohlhoehe"},
    [HN_WORD_GROUND] = {"rim", "rm", "ground", "gl", "cover", "surface", "top", "grd", "deckel"},
    [HN_WORD_LEVEL] = {"e", "el", "elev", "elevation", "level", "lvl", "hoehe"},
    [HN_WORD_DEPTH] = {"depth", "dep", "tiefe"},
    [HN_WORD_SIZE] = {"size", "diam", "diameter", "dia", "width", "bore", "breite"},
    [HN_WORD_HEIGHT] = {"height", "hgt", "ht", "profilhoehe"},
    [HN_WORD_MATERIAL] = {"material", "mat", "matl", "werkstoff", "materiau"},
    [HN_WORD_TYPE] = {"type", "typ", "ty"},
    [HN_WORD_SHAPE] = {"shape", "profile", "profil", "section", "xsect", "form"},
    [HN_WORD_YEAR] = {"year", "yr", "date", "dat", "jahr", "baujahr", "annee"},
    [HN_WORD_BUILT] = {"installed", "installation", "inst", "built", "build", "construction",
                       "constructed", "constr", "laid", "baujahr", "commissioned"},
    [HN_WORD_LINED] = {"lined", "relined", "lining", "liner", "rehab", "rehabilitated", "renewed"},
    [HN_WORD_LENGTH] = {"length", "len", "lgth", "laenge", "longueur"},
    [HN_WORD_SLOPE] = {"slope", "gradient", "gefaelle", "pente"},
    [HN_WORD_CONDITION] = {"cond", "condition", "structural", "struct", "zustand"},
    [HN_WORD_GRADE] = {"grade", "rating", "score", "klasse"},
    [HN_WORD_SERVICE] = {"service", "operational", "serviceability"},
    [HN_WORD_INSPECTION] = {"video", "inspected", "inspection", "cctv", "survey", "camera",
                            "surveyed", "insp"},
    [HN_WORD_STREET] = {"street", "road", "strasse", "rue"},
    [HN_WORD_NAME] = {"name", "nam"},
    [HN_WORD_DUTY] = {"duty", "sewer", "system", "effluent", "drainage", "use", "usage"},
    [HN_WORD_STATUS] = {"status", "state", "service", "lifecycle", "phase"},
    [HN_WORD_OWNER] = {"owner", "ownership", "owned"},
    [HN_WORD_DISTRICT] = {"district", "catchment", "zone", "ward", "basin", "area", "neighbourhood",
                          "neighborhood", "sewershed", "subarea", "quartier"},
    [HN_WORD_SURFACE] = {"surface", "pavement", "paving"},
    [HN_WORD_SOIL] = {"soil", "geology", "boden"},
    [HN_WORD_LATERAL] = {"lateral", "laterals", "connections", "services"},
    [HN_WORD_MANHOLE] = {"manhole", "manholes", "mh", "node", "nodes", "schacht", "chamber"},
    [HN_WORD_DRAWN] = {"shape", "geom", "geometry", "st"},
};

/* Next word of a name in small letters; NULL at the end. */
static const char *next_word(const char *at, char word[WORD_MAX])
{
    size_t length = 0;

    while (*at && !isalnum((unsigned char)*at))
        at++;
    if (!*at)
        return NULL;
    while (isalnum((unsigned char)*at)) {
        if (length < WORD_MAX - 1)
            word[length++] = (char)tolower((unsigned char)*at);
        at++;
        if (islower((unsigned char)at[-1]) && isupper((unsigned char)*at))
            break;
    }
    word[length] = '\0';
    return at;
}

static int means(const char *word, const char *synonym, int may_be_cut)
{
    size_t length = strlen(word);

    if (strcmp(word, synonym) == 0)
        return 1;
    if (strlen(synonym) >= 4 && strstr(word, synonym))
        return 1;
    if (strncmp(synonym, word, length) != 0 || strlen(synonym) < 4)
        return 0;
    return may_be_cut ? length >= 2 : length >= 5 && length + 2 >= strlen(synonym);
}

static int one_word_means(const char *field_name, hn_word_class class)
{
    size_t whole = strlen(field_name);
    char word[WORD_MAX];

    for (const char *at = next_word(field_name, word); at; at = next_word(at, word))
        for (int i = 0; i < SYNONYMS && synonyms[class][i]; i++)
            if (means(word, synonyms[class][i], whole == NAME_CUT && !*at))
                return 1;
    return 0;
}

/* DN is a nominal size when it stands alone, and the downstream end beside
 * other words. */
static int is_nominal_size(const char *field_name)
{
    return strcasecmp(field_name, "dn") == 0 || strcasecmp(field_name, "dn_mm") == 0;
}

int hn_name_has_word(const char *field_name, hn_word_class class)
{
    if (is_nominal_size(field_name))
        return class == HN_WORD_SIZE;
    return one_word_means(field_name, class);
}

/* ---- coded values ---- */

typedef struct meaning {
    const char *ours;
    const char *theirs[SYNONYMS];
} meaning;

static const meaning materials[] = {
    {"vitrified clay",
     {"vc", "vcp", "vit", "cl", "clay", "clayware", "stz", "steinzeug", "gres", "stoneware",
      "vitrified clay", "ew", "earthenware"}},
    {"concrete", {"co", "con", "conc", "concrete", "b", "beton", "cp"}},
    {"reinforced concrete", {"rc", "rcp", "sb", "stahlbeton", "reinforced concrete"}},
    {"brick", {"br", "brk", "brick", "brickwork", "mauerwerk", "mw"}},
    {"masonry", {"masonry", "stone", "ms"}},
    {"prestressed concrete", {"psc", "pcp", "prestressed concrete", "spannbeton"}},
    {"polymer concrete", {"prc", "polymer concrete", "polymerbeton"}},
    {"pvc", {"pvc", "upvc", "pvcu", "pvc-u"}},
    {"pe", {"pe", "hdpe", "hdp", "pehd", "mdpe", "pe-hd", "polyethylene"}},
    {"pp", {"pp", "polypropylene"}},
    {"asbestos cement", {"ac", "acp", "asbestos cement", "fibre cement", "az", "fz"}},
    {"cast iron", {"ci", "cip", "cast iron", "gg"}},
    {"ductile iron", {"di", "dip", "ductile iron", "ggg"}},
    {"steel", {"st", "stl", "steel", "stahl"}},
    {"corrugated metal", {"csp", "cmp", "corrugated metal", "corrugated steel"}},
    {"grp", {"grp", "gfk", "frp"}},
    {"pitch fibre", {"pf", "pitch fibre", "pitch fiber"}},
};

static const meaning shapes[] = {
    {"circle", {"c", "ci", "circ", "circle", "circular", "round", "kreis", "dn"}},
    {"egg", {"e", "egg", "egg-shaped", "ei", "ovoid", "ovoide"}},
    {"horseshoe", {"h", "hs", "horse", "horseshoe"}},
    {"rectangle", {"r", "rect", "rectangle", "rectangular", "box", "square", "rechteck"}},
    {"ellipse", {"el", "ell", "ellipse", "elliptical"}},
    {"arch", {"a", "arch", "maul"}},
    {"channel", {"channel", "open", "u", "trapezoidal"}},
};

static const meaning duties[] = {
    {"combined", {"combined", "comb", "cs", "c", "m", "mixed", "mw", "mischwasser", "unitaire"}},
    {"foul", {"foul", "sanitary", "san", "f", "ss", "sw", "wastewater", "schmutzwasser"}},
    {"storm", {"storm", "stormwater", "surface water", "sto", "st", "rw", "regenwasser", "drain"}},
};

static const char *ours_of(const meaning *list, size_t count, const char *value)
{
    for (size_t m = 0; m < count; m++)
        for (int i = 0; i < SYNONYMS && list[m].theirs[i]; i++)
            if (strcasecmp(list[m].theirs[i], value) == 0)
                return list[m].ours;
    return NULL;
}

const char *hn_material_of_value(const char *value)
{
    return ours_of(materials, sizeof materials / sizeof materials[0], value);
}

const char *hn_shape_of_value(const char *value)
{
    return ours_of(shapes, sizeof shapes / sizeof shapes[0], value);
}

const char *hn_duty_of_value(const char *value)
{
    return ours_of(duties, sizeof duties / sizeof duties[0], value);
}

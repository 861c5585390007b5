# Prints "file:line:code" of C files with comments and the inside of texts
# taken out, so that a check sees only what the compiler sees.
FNR == 1 { in_comment = 0 }
{
    rest = $0
    code = ""
    while (rest != "") {
        if (in_comment) {
            end = index(rest, "*/")
            if (end == 0) break
            in_comment = 0
            rest = substr(rest, end + 2)
            code = code " "
        } else if (match(rest, /\/\*|\/\/|"|'/)) {
            code = code substr(rest, 1, RSTART - 1)
            mark = substr(rest, RSTART, RLENGTH)
            rest = substr(rest, RSTART + RLENGTH)
            if (mark == "//") break
            if (mark == "/*") in_comment = 1
            else {
                # An include's name is code, every other text is not.
                text = mark == "\"" ? /^[ \t]*#[ \t]*include/ : 0
                closing = mark == "\"" ? "^([^\"\\\\]|\\\\.)*\"" : "^([^'\\\\]|\\\\.)*'"
                if (match(rest, closing)) {
                    code = code mark (text ? substr(rest, 1, RLENGTH - 1) : "") mark
                    rest = substr(rest, RLENGTH + 1)
                } else break
            }
        } else {
            code = code rest
            break
        }
    }
    if (code ~ /[^ \t]/) print FILENAME ":" FNR ":" code
}

"""Invented street names."""

FIRST = """Alder Anchor Apple Ash Barley Barrow Basin Beech Bell Birch Bishop Bittern Black Blossom Bobbin
Bow Bramble Brewer Briar Brick Broad Brook Burr Candle Cannon Carder Castle Cattle Chalk Chandler
Chapel Charter Cherry Church Clay Clover Coal Cobbler Cooper Copper Coral Corn Cotton Cowslip
Crane Cross Crown Curlew Cutler Dairy Damson Dean Dove Drover Dyer Elder Elm Falcon Farrier Fennel
Fern Ferry Finch Flax Ford Forge Foss Fox Fuller Furrow Gable Garnet Glass Glebe Goose Gorse Grain
Grange Granary Green Grove Hammer Harbour Hare Harrow Hart Hatter Hawthorn Hazel Heath Hedge Heron
Hive Holly Honey Hooper Hop Horn Ivy Jasmine Jay Juniper Kestrel Keystone King Kite Lace Lamb
Lantern Larch Lark Laurel Lead Leaf Lilac Lime Linen Linnet Loom Mallard Malt Maple Marl Martin
Mason Meadow Mercer Mill Mint Moss Myrtle Nailer Needle Nettle Nut Oak Oat Orchard Osier Otter
Oven Paddock Pear Pewter Pike Pine Plough Plover Plum Poplar Potter Primrose Quarry Quay Queen
Quill Quince Raven Reed Robin Rook Rope Rose Rowan Rush Rye Saddler Sage Salt Sand Sawyer School
Sedge Shepherd Ship Silk Silver Skinner Slate Sloe Smith Snipe Sorrel Spindle Spinner Spring
Spruce Stable Starling Stone Straw Swallow Swan Swift Tallow Tanner Teal Thatch Thimble Thistle
Thorn Thrush Tiller Tin Tower Turner Vane Vetch Vine Violet Walnut Warbler Water Weaver Well Wheat
Wheel Whin Willow Windmill Withy Wold Wool Wren Yarrow Yew""".split()
LAST = {
    "core": ["Lane", "Alley", "Row", "Street", "Gate", "Yard"],
    "terraces": ["Street", "Street", "Road", "Terrace", "Place"],
    "suburb": ["Road", "Avenue", "Grove", "Gardens"],
    "estate": ["Drive", "Way", "Crescent", "Rise"],
    "close": ["Close", "Close", "Court", "Mead", "Croft"],
    "works": ["Works Road", "Industrial Way", "Trade Street"],
}


class Namer:
    """Hands out each name once."""

    def __init__(self, chance):
        self._chance, self._used = chance, set()

    def name(self, style):
        for _ in range(1000):
            name = f"{self._chance.pick(FIRST)} {self._chance.pick(LAST[style])}"
            if name not in self._used:
                self._used.add(name)
                return name
        raise RuntimeError(f"no street name left for {style}")

"""Ten invented dyers' books of swatches, each kept by another hand, and what each row tells.

Written before what reads them. Every dyer, number and note is made up.
"""

import re
import zipfile
from dataclasses import dataclass, field
from io import BytesIO
from xml.sax.saxutils import escape

from openpyxl import Workbook

_STAMP = re.compile(rb"20\d\d-\d\d-\d\dT[\d:]+Z")


@dataclass(frozen=True)
class Book:
    """file : its name. write : makes it, given the path. taken : how many swatches it holds.
    left_out : row -> a word of the reason. facts : swatch -> what must be on record of it."""

    file: str
    write: object
    taken: int
    left_out: dict = field(default_factory=dict)
    facts: dict = field(default_factory=dict)
    absent: dict = field(default_factory=dict)  # swatch -> columns nothing was told of
    columns: tuple = ()  # what she says to the first proposal


def text(words, encoding="utf-8"):
    return lambda path: path.write_bytes(words.encode(encoding))


def workbook(rows, merged=()):
    def write(path):
        book = Workbook()
        sheet = book.active
        for row in rows:
            sheet.append(row)
        for cells in merged:
            sheet.merge_cells(cells)
        held = BytesIO()
        book.save(held)
        # The same bytes on every day, for what is spoiled at random.
        with zipfile.ZipFile(held) as made, zipfile.ZipFile(path, "w") as archive:
            for name in made.namelist():
                text = re.sub(
                    rb"20\d\d-\d\d-\d\dT[\d:]+Z", b"2026-01-01T00:00:00Z", made.read(name)
                )
                archive.writestr(zipfile.ZipInfo(name), text, zipfile.ZIP_DEFLATED)

    return write


def open_document(rows):
    """An ODS of text and numbers; empty cells and rows to the edge of the sheet as programs
    write them."""

    def cell(value):
        if value is None:
            return "<table:table-cell/>"
        if isinstance(value, int | float):
            return (
                f'<table:table-cell office:value-type="float" office:value="{value}">'
                f"<text:p>{value}</text:p></table:table-cell>"
            )
        lines = "".join(f"<text:p>{escape(line)}</text:p>" for line in value.split("\n"))
        return f'<table:table-cell office:value-type="string">{lines}</table:table-cell>'

    edge = '<table:table-cell table:number-columns-repeated="16370"/>'
    body = "".join(
        f"<table:table-row>{''.join(map(cell, row))}{edge}</table:table-row>" for row in rows
    )
    names = (
        'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"'
    )
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {names}><office:body>'
        f'<office:spreadsheet><table:table table:name="Sheet1">{body}'
        f'<table:table-row table:number-rows-repeated="1048500">{edge}</table:table-row>'
        "</table:table></office:spreadsheet></office:body></office:document-content>"
    )

    def write(path):
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
            archive.writestr("content.xml", content)

    return write


# 1. A tidy American hand: one heading row, units in the headings.
TIDY = (
    "Sample #,Yarn,Weight (oz),Mordant,Mordant % WOF,Dye stuff,WOF,Temp (F),Time (h),Water,"
    "After-dip,Where kept,Price,Notes\n"
    'T1,Wool,3.5,Alum,12,weld,80,180,1,rain,none,blue box,14.50,"clear, bright"\n'
    "T2,Wool,3.5,Alum,12,weld,80,180,1.5,rain,iron,blue box,14.50,\n"
    "T3,Silk,1,Alum,12,weld,80,180,1,rain,none,blue box,22,\n"
    "T4,Superwash wool,3.5,Alum,12,madder,50,140,1,tap,none,red box,16,orange side\n"
    "T5,Superwash wool,3.5,Alum,12,madder,50,160,1,tap,none,red box,16,browner\n"
    "T6,Wool,3.5,none,,walnut hull,40,190,2,tap,none,red box,14.50,\n"
    "T7,Linen,3.5,Aluminum acetate,5,weld,100,180,1,rain,none,,9,\n"
    "T8,Wol,3.5,Alum,12,weld,80,180,1,rain,none,,,\n"
    "T9,Wool,3.5,Alum,12,cochineal,4,185,1,rain,none,,,\n"
)

# 2. A continental hand: a title and a remark above, semicolons, decimal commas, an old encoding.
SEMICOLONS = (
    "Mein Färbebuch – Frühling;;;;;;;;\n"
    "all skeins washed first;;;;;;;;\n"
    ";;;;;;;;\n"
    "No.;Material;Dry weight (g);Plant;Amount (g);Alum (g);pH;Temp. (°C);Provenance\n"
    "1;Wool;50,5;birch leaves;151,5;7,5;6,5;85;Küstenweg\n"
    "2;Wool;50,0;birch leaves;150;7,5;6,5;85;Küstenweg\n"
    "3;Wool;25,0;tansy;50;3,75;5,5;90;garden\n"
    "4;Silk;20;tansy;40;3;5,5;70;garden\n"
    "5;Silk;20;goldenrod;40;3;6,0;70;“by the mill”\n"
    "6;Alpaca;40;goldenrod;80;6;6,0;80;by the mill\n"
    "7;Wool;1,500;goldenrod;3,000;0,225;6,0;80;by the mill\n"
    "8;Cotton;30;goldenrod;60;;;80;\n"
)

# 3. Ditto marks of every kind, tabs, UTF-16 as one spreadsheet program saves "Unicode text".
DITTO = "\n".join(
    "\t".join(row)
    for row in [
        ["Name", "Fiber", "Mordant", "Mordant %", "Plant", "Dye % WOF", "Temp", "Time", "Season"],
        ["d1", "wool", "alum", "15", "madder", "40", "60 C", "1 h", "autumn"],
        ["d2", '"', "״", "do.", "″", "60", "140F", '"', "do"],
        ["d3", '"', "none", "", "〃", "60", "60 C", "same", "ditto"],
        ["d4", "silk", "alum", "12", "do.", "30", '"', "90 min", '"'],
        ["d5", '"', '"', '"', "weld", "100", "80C", "1 hr", "summer"],
        ["d6", '-"-', "''", '"', '"', "50", "176 F", '"', '"'],
        ["d7", "linen", "aluminium acetate", "5", "same", "100", "80 C", '"', "idem"],
        ["d8", "linen", '"', '"', "cutch", "20", "85 °C", "2 h", ""],
    ]
)

# 4. A workbook with groups over the names, cells merged down and a remark merged beside them.
GROUPS = [
    ["Overdyes, third year", None, None, None, None, None, None, None, None, None, None],
    [None, "Fibre", None, "Mordant", None, None, "Dye bath", None, None, "After-bath", None],
    ["No", "kind", "g", "kind", "%", "°C", "plant", "%", "min", "kind", "%", "Remarks"],
    ["g1", "wool", 20, "alum", 12, 85, "weld", 60, 60, "none", None, "washed twice, kept dark"],
    ["g2", "wool", 20, None, None, None, "weld", 60, 60, "iron", 2, None],
    ["g3", "wool", 20, None, None, None, "weld", 90, 60, "iron", 1, None],
    ["g4", "silk", 10, "alum", 10, 40, "weld", 60, 45, "none", None, None],
    ["g5", "silk", 10, "alum", 10, 40, "madder", 35, 60, "none", None, "soft"],
    ["g6", "wool", 20, "alum", 12, 85, "madder", 35, 60, "ash lye", None, None],
    ["g7", "wool", 20, "alum", 12, 85, "madder", 70, 60, "none", None, None],
    ["g8", "linen", 30, "none", None, None, "cutch", 20, 120, "iron", 2, None],
]

# 5. An open document: number and name apart, columns of her own, lines that stand alone.
NUMBERS = [
    ["Kettle book", None, None, None, None, None, None, None],
    [],
    ["Nr", "Name", "Fiber", "Dye", "WOF %", "Alum %", "Lightfastness", "Customer"],
    [1, "Marsh", "wool", "heather", 200, 10, "3 of 5", "shop"],
    [2, "Fen", "wool", "heather", 300, 10, "3 of 5", "shop"],
    [3, "Reed", "wool", "nettle leaf", 200, 10, "2 of 5", None],
    ["from here on the new kettle", None, None, None, None, None, None, None],
    [4, "Sedge", "mohair", "nettle leaf", 300, 10, None, None],
    [5, "Peat", "wool", "alder bark", 100, 0, None, "Mo."],
    [6, "Bog", "wool", "alder bark", 100, 10, None, None],
    [7, "Moss", "wool", "lichen", 50, None, "good\nin the window a year", None],
    [8, "Lark", "wool", "elderberry", 100, 10, "1 of 5", None],
    [],
    ["All of it rinsed in the beck. Nothing here is for sale.", *[None] * 7],
]

# 6. A grid: a column a plant, and ticks for what was or was not done.
GRID = (
    "ID,Fabric,Madder %,Weld %,Cochineal %,Alum,Iron,pH,Comments\n"
    "m1,cotton,50,,,yes,no,6,\n"
    "m2,cotton,,50,,yes,no,6,\n"
    "m3,cotton,25,25,,yes,no,6,both in one pot\n"
    "m4,cotton,50,,,yes,yes,6,\n"
    "m5,cotton,,50,,x,x,6,\n"
    "m6,cotton,,,5,✓,-,6.5,\n"
    "m7,cotton,,,10,yes,no,6.5,\n"
    "m8,cotton,25,,5,yes,no,6.5,\n"
    "m9,cotton,25,,5,no,no,6.5,bare\n"
)

# 7. Whole diary lines in the cells.
LINES = (
    "Tag;Yarn;What I did;Made on;Shade I got\n"
    'l1;wool;"mordant: alum 12 %, 80 C, 1 h\ndye: weld 80 %, 80 C, 1 h";2026-03-01;lemon\n'
    "l2;wool;mordant: alum 12 % / dye: weld 80 %, 80 C, 1 h / after-bath: iron 2 %, 10 min;"
    "2026-03-01;moss\n"
    "l3;wool;mordant: alum 12 % / vat: indigo, fructose, 3 dips of 10 min, 50 C;2026-03-02;sky\n"
    "l4;silk;mordant: alum 10 % / dye: madder 40 %, 60 C, 1 h;2026-03-02;\n"
    "l5;silk;mordant: alum 10 % / dye: madder -5 %, 60 C;2026-03-02;\n"
    "l6;wool;dye: walnut hull 60 %, 24 h;2026-03-04;\n"
    "l7;wool;mordant: alum 12 % / dye: weld 80 %, 80 C, 1 h / dye: madder 10 %, 60 C;2026-03-05;"
    "tangerine\n"
    "l8;linen;mordant: gallnut 8 % / mordant: alum 15 % / dye: weld 100 %, 80 C, 1 h;"
    "2026-03-06;\n"
)

# 8. Everything of one thing in one cell.
CROWDED = (
    "Swatch name,Base,Mordant,Dyestuff,Dip after,Bath,Storage\n"
    "c1,superwash wool 50 g,alum 12%,weld 80% WOF,none,80 C,tin 3\n"
    "c2,superwash wool 50 g,alum 12%,weld 40 g,iron 2%,80 C,tin 3\n"
    "c3,wool 25g,alum 15%,madder 50%,none,60 C,tin 3\n"
    'c4,"silk, 10 g","alum 10 %",madder 50 %,none,60 C,tin 4\n'
    "c5,wool 25 g,none,fresh walnut hull 100 %,none,90 C,tin 4\n"
    "c6,wool 25 g,alum 15%,indigo,none,,tin 4\n"
    "c7,linen 40 g,aluminium acetate 5 %,weld 100 %,iron 1 %,80 C,\n"
    "c8,wool 25 g,alum 15 %,a good handful of tansy 3 cups,none,90 C,\n"
)

# 9. Units in a row of their own, mixed units in a column, headings repeated on each page.
MIXED = [
    ["Dye samples / barn", None, None, None, None, None, None, None],
    ["Tag", "Fibre", "Weight", "Plant", "Amount", "Temp", "Time", "Vessel"],
    [None, None, "g", None, "%", "°C", "min", None],
    ["x1", "wool", 100, "goldenrod", 200, 80, 60, "steel"],
    ["x2", "wool", "3.5 oz", "goldenrod", 200, "180 F", "1 h", "steel"],
    ["x3", "wool", "0.25 lb", "goldenrod", "200 g", "80 C", "1 h 30", "iron"],
    [None, None, None, None, None, None, None, None],
    ["Tag", "Fibre", "Weight", "Plant", "Amount", "Temp", "Time", "Vessel"],
    [None, None, "g", None, "%", "°C", "min", None],
    ["x4", "wool", 100, "dyer's chamomile", 100, 85, 60, "steel"],
    ["x5", "mohair", 50, "dyer's chamomile", 100, "185F", 60, "steel"],
    ["x6", "mohair", 50, "dyer's chamomile", 50, 85, "45 min", "copper"],
    ["x7", "mohair", 50, "dyer's chamomile", 50, 850, 45, "copper"],
    ["x8", "wool", 100, "marigold", 100, 85, "overly long", "steel"],
    ["x9", "wool", 100, "marigold", 100, 85, 60, "steel"],
]

# 10. The same short headings again under each bath; heat in Fahrenheit and time in hours unsaid.
TWICE = (
    "No,Yarn,Mordant,%,Temp,Time,Plant,%,Temp,Time,After-dip,%,Base,Season\n"
    "1,wool,alum,12,180,1,weld,80,180,1,none,,merino flock,summer\n"
    "2,wool,alum,12,180,1,weld,80,180,1,iron,2,merino flock,summer\n"
    "3,wool,alum,12,180,1,weld,40,180,1.5,none,,merino flock,summer\n"
    "4,wool,alum,12,180,1,madder,50,140,1,none,,hill flock,autumn\n"
    "5,wool,alum,12,180,1,madder,50,160,1,none,,hill flock,autumn\n"
    "6,wool,alum,12,180,1,madder,50,190,2,iron,1,hill flock,autumn\n"
    "7,silk,alum,10,110,2,madder,50,140,1,none,,,autumn\n"
    "8,silk,alum,10,110,2,weld,80,160,1,none,,,summer\n"
    "9,silk,none,,,,walnut hull,60,190,2,none,,,autumn\n"
    "10,silk,none,,,,walnut hull,30,190,2,iron,2,,autumn\n"
)

# Further ones, written after what reads them, to see what it does not know yet.
LOG = (
    "Plant Colour Log,,,,,,,,,,,,,,\n,,,,,,,,,,,,,,\n"
    "Date,Sample ID,Fiber Type,Fiber Wt (g),Mordant Used,Mordant %WOF,Dye Plant,Dye %WOF,"
    "Dye Bath Temp (°F),Dye Bath Time (min),Modifier,pH (start),Lightfast?,Comments,Shown to\n"
    "3/14/2024,NL-1,Merino wool,10,Alum,15%,Marigold,100%,180,60,None,6.5,Y,bright gold,\n"
    "3/14/2024,NL-2,Merino wool,10,Alum,15%,Marigold,100%,180,60,Iron,6.5,Y,olive,\n"
    "3/15/2024,NL-3,Silk noil,5,Alum,15%,Marigold,100%,180,60,None,6.5,,,guild\n"
    "3/15/2024,NL-4,Cotton,10,Alum acetate,8%,Marigold,100%,180,60,None,,,,\n"
    "3/20/2024,NL-5,Merino wool,10,Alum + CoT,15% + 6%,Cochineal,4%,185,60,None,,Y,pink,\n"
    "3/20/2024,NL-6,Merino wool,10,Alum,15%,Cochineal,4%,185,60,Vinegar,,,,\n"
    "3/21/2024,NL-7,BFL,10,Alum,15%,Cochineal,4%,185,60,Ammonia,,,purple,\n"
    "3/21/2024,NL-8,Linen,10,Gall + alum,8% + 15%,Cochineal,4%,185,60,,,,,\n"
)
SPOKEN = (
    "Yarn\tWeight\tPremordant\tDyepot\tDyestuff amount\tTemp\tHold\tOverdye\tShade\n"
    "Corriedale 2ply\t100g\talum 10%\tonion skins\t50 g\t190F\t1 hr\t\trust\n"
    '"\t"\t"\t"\t"\t"\t"\tiron dip\tbrown\n'
    '"\t"\tnone\t"\t"\t"\t"\t\ttan\n'
    "Mohair\t50g\talum 10%\tblack walnut\t100 g\tsimmer\t2 hrs\t\tbrown\n"
    '"\t"\t"\tavocado pits\t100 g\t"\tovernight\t\tpink\n'
    'Silk\t20 g\t"\t"\t40 g\t160F\t1 hr\tindigo\tlilac\n'
    'Silk\t20 g\t"\t"\t40 g\t150-160F\t1 hr\tindigo\tlilac\n'
    'Silk\t20 g\t"\t"\t20 g\t160F\t1 hr\t\trose\n'
)
TWO_DYES = (
    "sample;fibre;scoured;tannin;tannin % wof;mordant;mordant % wof;dye 1;dye 1 % wof;dye 2;"
    "dye 2 % wof;temp C;time min;afterbath;afterbath %;notes\n"
    "S1;cotton;yes;myrobalan;15;AA;5;weld;50;madder;10;80;60;;;first try\n"
    "S2;cotton;yes;myrobalan;15;AA;5;weld;50;;;80;60;FeSO4;1;\n"
    "S3;cotton;yes;none;;AA;5;;;madder;50;70;90;;;\n"
    "S4;cotton;yes;gall nut;10;AA;5;cutch;30;;;95;120;;;\n"
    "S5;wool;;;;alum;12;logwood;20;;;80;45;iron;0,5;\n"
    "S6;wool;;;;alum;12;logwood;20;;;80;45;;;\n"
    "S7;wool;;;;alum;12;logwood;10;;;80;45;;;\n"
    "S8;wool;;;;alum;12;logwood;10;weld;30;80;45;;;\n"
)
JARS = (
    '"Jar","Wool g","Alum g","Madder g","Chalk g","Water L","Max °C","Hours","Result"\n'
    '"A","100","12","50","2","4","65","1","brick"\n"B","100","12","50","0","4","65","1","coral"\n'
    '"C","100","12","100","2","4","65","2","deep brick"\n'
    '"D","100","0","50","2","4","65","1","pale"\n"E","50","6","50","1","2","65","1","brick"\n'
    '"F","50","6","25","1","2","80","1","brown"\n"G","50","6","","1","2","80","1","nothing in it"\n'
    '"H","50","6","5","1","2","65","1","peach"\n'
)

BOOKS = [
    Book(
        "tidy.csv", text(TIDY), 8, {9: "Wol"},
        {
            "T1": {"fibre": "Wool", "fibre_g": 99.2233, "mordant": "Alum", "mordant_owf": 12,
                   "dyestuff": "weld", "dye_owf": 80, "temperature_C": 82.2, "minutes": 60,
                   "water": "rain", "modifier": "none", "place": "blue box", "price": "14.50",
                   "note": "clear, bright"},
            "T4": {"fibre": "wool", "fibre_form": "superwash", "note": "orange side"},
            "T6": {"mordant": "none", "minutes": 120},
        },
        {"T6": ["mordant_owf"], "T2": ["note"]},
    ),
    Book(
        "frühling.csv", text(SEMICOLONS, "cp1252"), 8, {},
        {
            "1": {"fibre": "Wool", "fibre_g": 50.5, "dyestuff": "birch leaves", "dye_owf": 300,
                  "mordant": "alum", "mordant_owf": 14.8515, "pH": 6.5, "temperature_C": 85,
                  "provenance": "Küstenweg"},
            "5": {"provenance": "“by the mill”"},
            "7": {"fibre_g": 1.5, "dye_owf": 200, "mordant_owf": 15},
        },
        {"8": ["mordant", "mordant_owf", "pH", "provenance"]},
    ),
    Book(
        "ditto.txt", text(DITTO, "utf-16"), 8, {},
        {
            "d2": {"fibre": "wool", "mordant": "alum", "mordant_owf": 15, "dyestuff": "madder",
                   "dye_owf": 60, "temperature_C": 60, "minutes": 60, "season": "autumn"},
            "d3": {"mordant": "none", "dyestuff": "madder", "minutes": 60, "season": "autumn"},
            "d4": {"temperature_C": 60, "minutes": 90, "season": "autumn"},
            "d6": {"fibre": "silk", "mordant": "alum", "mordant_owf": 12, "dyestuff": "weld",
                   "temperature_C": 80, "minutes": 60, "season": "summer"},
            "d7": {"dyestuff": "weld", "season": "summer"},
            "d8": {"mordant": "aluminium acetate", "mordant_owf": 5, "minutes": 120},
        },
        {"d8": ["season"], "d3": ["mordant_owf"]},
    ),
    Book(
        "groups.xlsx",
        workbook(GROUPS, ("A1:K1", "B2:C2", "D2:F2", "G2:I2", "J2:K2", "D4:D6", "E4:E6", "F4:F6",
                          "L4:L6")),
        8, {},
        {
            "g1": {"fibre": "wool", "fibre_g": 20, "mordant": "alum", "mordant_owf": 12,
                   "mordant_C": 85, "dyestuff": "weld", "dye_owf": 60, "minutes": 60,
                   "modifier": "none", "note": "washed twice, kept dark"},
            "g2": {"mordant": "alum", "mordant_owf": 12, "mordant_C": 85, "modifier": "iron",
                   "modifier_owf": 2, "note": "washed twice, kept dark"},
            "g3": {"mordant_C": 85, "note": "washed twice, kept dark"},
            "g8": {"mordant": "none", "dyestuff": "cutch", "minutes": 120},
        },
        {"g4": ["note"], "g1": ["temperature_C"]},
    ),
    Book(
        "kettle.ods", open_document(NUMBERS), 8, {},
        {
            "1 Marsh": {"fibre": "wool", "dyestuff": "heather", "dye_owf": 200, "mordant": "alum",
                        "mordant_owf": 10, "fastness": "3 of 5", "Customer": "shop"},
            "5 Peat": {"mordant": "none", "Customer": "Mo."},
            "7 Moss": {"fastness": "good\nin the window a year"},
        },
        {"7 Moss": ["mordant"]},
    ),
    Book(
        "grid.csv", text(GRID), 9, {},
        {
            "m1": {"fibre": "cotton", "dyestuff": "madder", "dye_owf": 50, "mordant": "alum",
                   "modifier": "none", "pH": 6},
            "m3": {"dyestuff": "madder", "dye_owf": 25, "dyestuff_2": "weld", "dye_owf_2": 25,
                   "note": "both in one pot"},
            "m5": {"dyestuff": "weld", "mordant": "alum", "modifier": "iron"},
            "m6": {"dyestuff": "cochineal", "dye_owf": 5, "modifier": "none"},
            "m9": {"mordant": "none"},
        },
        {"m1": ["dyestuff_2", "modifier_owf", "mordant_owf"]},
    ),
    Book(
        "lines.csv", text(LINES), 7, {6: "-5"},
        {
            "l1": {"mordant": "alum", "mordant_owf": 12, "mordant_C": 80, "dyestuff": "weld",
                   "dye_owf": 80, "minutes": 60, "Shade I got": "lemon"},
            "l2": {"modifier": "iron", "modifier_owf": 2, "modifier_minutes": 10},
            "l3": {"dyestuff": "indigo", "vat": "fructose", "vat_dips": 3},
            "l7": {"dyestuff_2": "madder", "dye_2_how": "over"},
            "l8": {"tannin": "gallnut", "tannin_owf": 8, "mordant": "alum", "mordant_owf": 15},
        },
    ),
    Book(
        "crowded.csv", text(CROWDED), 7, {9: "handful"},
        {
            "c1": {"fibre": "wool", "fibre_form": "superwash", "fibre_g": 50, "mordant": "alum",
                   "mordant_owf": 12, "dyestuff": "weld", "dye_owf": 80, "modifier": "none",
                   "temperature_C": 80, "place": "tin 3"},
            "c2": {"dye_owf": 80, "modifier": "iron", "modifier_owf": 2},
            "c4": {"fibre": "silk", "fibre_g": 10, "mordant_owf": 10, "dye_owf": 50},
            "c5": {"mordant": "none", "dyestuff": "walnut hull", "dyestuff_form": "fresh",
                   "dye_owf": 100},
            "c6": {"dyestuff": "indigo"},
        },
        columns=("Bath=temperature", "Storage=place"),
    ),
    Book(
        "barn.xlsx", workbook(MIXED), 7, {13: "850", 14: "overly long"},
        {
            "x1": {"fibre_g": 100, "dye_owf": 200, "temperature_C": 80, "minutes": 60},
            "x2": {"fibre_g": 99.2233, "dye_owf": 200, "temperature_C": 82.2, "minutes": 60},
            "x3": {"fibre_g": 113.398, "dye_owf": 176.37, "minutes": 90, "vessel": "iron"},
            "x5": {"temperature_C": 85, "fibre": "mohair"},
            "x6": {"minutes": 45},
        },
    ),
    Book(
        "twice.csv", text(TWICE), 10, {},
        {
            "1": {"fibre": "wool", "mordant": "alum", "mordant_owf": 12, "mordant_C": 82.2,
                  "mordant_minutes": 60, "dyestuff": "weld", "dye_owf": 80, "temperature_C": 82.2,
                  "minutes": 60, "modifier": "none", "note": "merino flock", "season": "summer"},
            "2": {"modifier": "iron", "modifier_owf": 2},
            "7": {"mordant_C": 43.3, "mordant_minutes": 120, "temperature_C": 60},
            "9": {"mordant": "none", "minutes": 120},
        },
        {"9": ["mordant_C", "mordant_minutes", "note"], "1": ["modifier_owf"]},
        columns=("Base=note",),
    ),
    Book(
        "log.csv", text(LOG), 8, {},
        {
            "NL-1": {"fibre": "wool", "fibre_form": "merino", "fibre_g": 10, "mordant": "Alum",
                     "mordant_owf": 15, "dyestuff": "Marigold", "dye_owf": 100,
                     "temperature_C": 82.2, "minutes": 60, "modifier": "none", "pH": 6.5,
                     "fastness": "Y", "note": "bright gold"},
            "NL-3": {"fibre": "silk", "fibre_form": "noil", "Shown to": "guild"},
            "NL-4": {"mordant": "aluminium acetate", "mordant_owf": 8},
            "NL-5": {"mordant": "Alum", "mordant_owf": 15, "mordant_assist": "cream of tartar",
                     "mordant_assist_owf": 6},
            "NL-7": {"fibre": "wool", "fibre_form": "bfl", "modifier": "Ammonia"},
            "NL-8": {"mordant": "alum", "mordant_owf": 15, "tannin_owf": 8},
        },
    ),
    Book(
        "spoken.txt", text(SPOKEN), 7, {8: "150-160"},
        {},
    ),
    Book(
        "two dyes.csv", text(TWO_DYES), 8, {},
        {
            "S1": {"tannin": "myrobalan", "tannin_owf": 15, "mordant": "aluminium acetate",
                   "dyestuff": "weld", "dye_owf": 50, "dyestuff_2": "madder", "dye_owf_2": 10,
                   "scoured": "yes"},
            "S2": {"modifier": "iron", "modifier_owf": 1},
            "S3": {"dyestuff": "madder", "dye_owf": 50, "tannin": "none"},
        },
        {"S3": ["dyestuff_2", "dye_owf_2"]},
    ),
    Book(
        "jars.csv", text(JARS), 7, {8: "dyestuff"},
        {
            "A": {"fibre": "wool", "fibre_g": 100, "mordant": "alum", "mordant_owf": 12,
                  "dyestuff": "madder", "dye_owf": 50, "assist": "chalk", "assist_owf": 2,
                  "liquor_ratio": 40, "temperature_C": 65, "minutes": 60, "Result": "brick"},
            "B": {"assist": "none"},
            "D": {"mordant": "none"},
        },
    ),
]  # fmt: skip

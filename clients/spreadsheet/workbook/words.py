"""The sentences in the example workbook."""

TITLE = "Which tyre, which axle, which gears?"
HOW = (
    "Type over the tinted cells; empty ones are left out. The answers come from the service at the address "
    "below. A number may bring its own unit: empty the cell before it and write 2.4 t."
)
CAREFUL = (
    "An invented truck. These are estimates for comparison, not a rating of any part. The limits set by the "
    "makers of axle, gears and tyres, local vehicle law and a licensed engineer or inspector decide. "
    "Re-check steering, brakes and driveline after such a change."
)
SILENT = (
    "#ERR The service does not answer. Is its address right, is it running, and may this file load external "
    "data?"
)
ALL_WELL = "Every question was answered."
FRESH = "This table is the one on the sheet Speeds."
STALE = (
    "This table is not the one on the sheet Speeds. To link that one, open Edit > Links to External Files, "
    "press Modify, and give it the address below."
)
LINKED = (
    "Here the program itself fetches CSV from an address and puts it into cells. Such a link does not follow "
    "the cells of this file. Its options name English (1033), so that numbers arrive as numbers whatever the "
    "language."
)
WORKING = (
    "Each typed cell becomes a piece of an address, decimal commas as points. Each answer has one address; "
    'its reply is text with a decimal point whatever the language, and NUMBERVALUE with "." makes it a '
    "number. A reply that begins with #ERR is a refusal in words."
)
CHART = "Road speed and engine speed in high range; the thick line shifts up at redline"
CHART_TOLD = (
    "Across: road speed. Up: engine speed. One line a gear from idle to redline, the way up through the "
    "gears with a shift at redline, top gear before the swap, and the cruise in top gear. The numbers are on "
    "the sheet Speeds and below the chart."
)
POINTS = "THE POINTS OF THE CHART, FROM THE SHEET SPEEDS (NOT PRINTED)"
CHART_AXES = ("Road speed, mph (km/h if metric)", "Engine speed, rpm")

"""The sentences in the example workbook."""

TITLE = "Which tyre, which axle, which gears?"
HOW = (
    "Type over the tinted cells. A cell of build B that is empty is as in build A. Beside an answer you may type "
    "the least and the most that you want. A number may bring its own unit: empty the cell before it and write 2.4 t."
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
NOTHING = "No caution to stop or to check was found."
WORKING = (
    "Each typed cell becomes a piece of an address, decimal commas as points. Each question has one address for "
    "each build, with the fields that it uses. The reply is JSON: a result is what stands behind its name, and "
    'NUMBERVALUE with "." makes it a number in every language. A reply that begins with #ERR is a refusal in words.'
)
IN_WORDS = "What the service says about each build, question by question."
CHART = "Build A: road speed and engine speed in high range; the thick line shifts up at redline"
CHART_TOLD = (
    "Across: road speed. Up: engine speed. One line a gear from idle to redline, the way up through the "
    "gears with a shift at redline, top gear before the swap, and the cruise in top gear. The numbers are on "
    "the sheet Speeds and below the chart."
)
POINTS = "THE POINTS OF THE CHART, FROM THE SHEET SPEEDS (NOT PRINTED)"
CHART_AXES = ("Road speed, mph (km/h if metric)", "Engine speed, rpm")

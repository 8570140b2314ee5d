"""Describe the shortlist: its plan, and its answer."""

from gearing_api.batch.parts import LONGEST_NAME, NAME
from gearing_api.batch.shortlist_plans import AIMS, MOST_AIMS, MOST_SHOWN, MOST_SUMS
from gearing_api.http import shortlist
from gearing_api.http.requests import JSON
from gearing_api.http.spec.builds import NULL, TEXT, Schema, by_name, list_of, members, option_name, ref
from gearing_api.http.spec.responses import responses

_COUNT: Schema = {"type": "integer", "minimum": 0}
_NUMBER: Schema = {"type": "number"}
_NUMBER_OR_NULL: Schema = {"type": ["number", "null"]}
_WORD: Schema = {"type": "string", "minLength": 1, "maxLength": LONGEST_NAME}


def shortlist_path(*, suffixed: bool = False) -> Schema:
    """Return the operation."""
    content: Schema = {JSON: {"schema": ref("ShortlistAnswer")}}
    if suffixed:
        forms = (form for form in shortlist.FORMS.values() if form.suffix != "json")
        content |= {form.media_type.partition(";")[0]: {"schema": TEXT} for form in forms}
        content["image/png"] = {"schema": TEXT | {"format": "binary"}}
    options = ["bands", "decimal", "detail", "errors"]
    names = ["shortlist_format", *options, "bom", "chart_size", "chart_theme"] if suffixed else options
    return {
        "operationId": "shortlist" + ("-in-format" if suffixed else ""),
        "summary": shortlist.ASKS,
        "description": "All combinations of the choices, without those that others beat in every aim. Where none "
        "meets all targets, the nearest come first.",
        "parameters": [{"$ref": f"#/components/parameters/{name}"} for name in names],
        "requestBody": {
            "required": True,
            "content": {JSON: {"schema": ref("ShortlistPlan"), "example": shortlist.EXAMPLE}},
        },
        "responses": responses("post", {"description": "The list.", "content": content}, suffixed=True),
    }


def shortlist_schemas() -> dict[str, Schema]:
    """Return the schemas of plan and answer, by name."""
    return {
        "ShortlistPlan": _plan(),
        "ShortlistAnswer": _answer(),
        "ShortlistRow": _row(),
        "PartChoice": {"anyOf": [ref("FieldValue"), _bundle()]},
        "Bounds": _bounds(),
        "Targets": by_name(ref("Bounds")),
        "Choices": by_name(ref("FieldValue")),
        "Figures": by_name(_NUMBER_OR_NULL) | {"description": "Figures by name"},
    }


def _bundle() -> Schema:
    return {
        "type": "object",
        "required": [NAME],
        "properties": {NAME: _WORD},
        "additionalProperties": ref("FieldValue"),
        "description": f"A part: its {NAME}, fields of the build, and the numbers named in sums",
    }


def _bounds() -> Schema:
    end: Schema = {"type": ["number", "string"]}
    return {
        "type": "object",
        "properties": {"least": end, "most": end},
        "additionalProperties": False,
        "minProperties": 1,
    }


def _plan() -> Schema:
    plan = members(
        build=ref("Fields"),
        among=ref("VariedFields")
        | {"description": "The choices; the first of each key is what is there now"},
    )
    plan["properties"] |= {
        "sums": list_of(_WORD, minItems=1, maxItems=MOST_SUMS)
        | {"description": "Numbers that the choices have, to be added up, such as price"},
        "targets": ref("Targets") | {"minProperties": 1, "description": "Limits of results or sums"},
        "aims": by_name({"type": "string", "enum": list(AIMS)})
        | {
            "minProperties": 1,
            "maxProperties": MOST_AIMS,
            "description": "What is preferred of results or sums, the first first; where not given, low sums",
        },
        "show": {
            "type": "integer",
            "minimum": 1,
            "maximum": MOST_SHOWN,
            "description": "Most rows. Default: 10.",
        },
        "units": ref(option_name("units")),
    }
    return plan | {"additionalProperties": False}


def _row() -> Schema:
    choices = ref("Choices") | {"description": "What is chosen of each key"}
    missed = members(name=TEXT, bound={"type": "string", "enum": ["least", "most"]}, by=_NUMBER_OR_NULL)
    missed["properties"]["share"] = _NUMBER_OR_NULL | {"description": "In parts of the target"}
    row = members(
        choices=choices,
        label=TEXT,
        verdict=ref("Verdict"),
        sums=ref("Figures"),
        results=ref("Figures"),
        absent=ref("Absences"),
        meets={"anyOf": [{"type": "string", "enum": ["all", "some", "none"]}, NULL]},
        misses=list_of(missed),
        gives_up=TEXT | {"description": "Against the best row in each aim"},
        cautions=list_of(ref("Caution")) | {"description": "Of the levels stop and check"},
    )
    row["properties"] |= {
        "ranges": ref("Ranges"),
        "meets_share": _NUMBER | {"description": "Share of the draws in which it meets all, with bands=1"},
        "best_share": _NUMBER
        | {"description": "Share of the draws in which it is best by the aims in order"},
        "regret": ref("Figures")
        | {"description": "By aim: in 9 of 10 draws it lacks no more against the best"},
        "depends_on": list_of(members(field=TEXT, share=_NUMBER))
        | {"description": "What decides about the target missed most often"},
    }
    return row


def _answer() -> Schema:
    step = members(
        key=TEXT,
        to=ref("FieldValue"),
        sums=ref("Figures"),
        adds=ref("Figures"),
        results=ref("Figures"),
        text=TEXT,
    )
    fault = members(location=TEXT, pointer=TEXT, detail=TEXT, count=_COUNT, choices=ref("Choices"))
    lacking = members(from_build=list_of(TEXT), not_given=list_of(TEXT))
    schema = members(
        question={"type": "string", "const": "shortlist"},
        version=TEXT,
        units=ref(option_name("units")),
        verdict=ref("Verdict"),
        summary=TEXT,
        combinations=_COUNT,
        meeting=_COUNT | {"description": "Combinations that meet all targets"},
        beaten=_COUNT | {"description": "Those of them that another one beats"},
        unbeaten=_COUNT,
        unjudged=_COUNT | {"description": "Combinations that lack a figure; they stand last"},
        refused=_COUNT | {"description": "Combinations that cannot be: errors say why"},
        result_units=ref("UnitsByName"),
        targets=ref("Targets"),
        aims=ref("TextByName"),
        rows=list_of(ref("ShortlistRow")),
        cheapest={"anyOf": [ref("ShortlistRow"), NULL], "description": "Meets all at the lowest first sum"},
        steps=list_of(step) | {"description": "Single changes from the first choices to the cheapest"},
        fallbacks=by_name(by_name(lacking)) | {"description": "Fields that other choices of the key give"},
        cautions=list_of(ref("CautionOfMany")),
        errors=list_of(fault),
    )
    schema["properties"]["sources"] = list_of(ref("Source"))
    return schema

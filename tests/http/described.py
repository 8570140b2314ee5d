"""Validators for schemas of the spec document, whose references lead into it."""

from typing import Any

from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

from gearing_api.http.spec import spec


def validator(schema: dict[str, Any]) -> Draft202012Validator:
    """For a schema of the document."""
    resource = Resource.from_contents(spec(), default_specification=DRAFT202012)
    registry: Registry[Any] = Registry().with_resource("urn:spec", resource)
    return Draft202012Validator(_absolute(schema), registry=registry)


def named(name: str) -> Draft202012Validator:
    """For the schema of that name."""
    return validator({"$ref": f"#/components/schemas/{name}"})


def _absolute(node: Any) -> Any:
    """The node with its references into the document made absolute."""
    if isinstance(node, dict):
        return {
            name: f"urn:spec{child}" if name == "$ref" else _absolute(child) for name, child in node.items()
        }
    return [_absolute(child) for child in node] if isinstance(node, list) else node

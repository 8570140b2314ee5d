"""One build and a column of builds agree to the last bit, on every processor.

numpy rounds some functions differently for a lone number and for an array, or by how the array lies in
memory. So the code is read for what is known to differ, and what it may use is compared here in every form.

Measured with 100,000 random values on a processor with AVX-512, numpy 2.0, 2.3 and 2.4: the functions of
AGREE agreed. ``x ** 2`` differed for 87 (on every processor), ``x ** 3`` for 5,477; sums and means of eight
numbers or more, matrix products and trapezoids by the layout; and with wide vectors most functions over a
reversed array. One build without a span changes how `linspace` rounds all the others.
"""

import ast
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import gearing_api
from gearing_api.answer import Question
from gearing_api.batch.columns import Given, Pool, answered
from gearing_api.build import Build
from gearing_api.fields import Count
from gearing_api.mechanics.domain import Array
from gearing_api.questions import QUESTIONS, ask
from gearing_api.vocabulary import ALL_FIELDS, read_fields
from tests.reading import trees

ROOT = Path(gearing_api.__file__).parent
COMPUTE = ("mechanics", "vehicle", "questions", "batch", "build.py")
"""Where values of builds are computed."""

COUNT = 3000
RANDOM = np.random.default_rng(20260801)
ABOVE = np.exp(RANDOM.uniform(-6.0, 6.0, COUNT))
SIGNED = ABOVE * RANDOM.choice([-1.0, 1.0], COUNT)
SHARE = RANDOM.uniform(-1.0, 1.0, COUNT)
OTHER = np.exp(RANDOM.uniform(-6.0, 6.0, COUNT))

AGREE: dict[str, tuple[Array, ...]] = {
    "abs": (SIGNED,),
    "arccos": (SHARE,),
    "arcsin": (SHARE,),
    "arctan": (SIGNED,),
    "bitwise_or": (np.ceil(ABOVE).astype(np.int64), np.ceil(OTHER).astype(np.int64)),
    "cbrt": (SIGNED,),
    "ceil": (SIGNED,),
    "copysign": (ABOVE, SIGNED),
    "cos": (SIGNED,),
    "deg2rad": (SIGNED,),
    "equal": (ABOVE, OTHER),
    "exp": (4.0 * SHARE,),
    "expm1": (4.0 * SHARE,),
    "floor": (SIGNED,),
    "fmax": (SIGNED, OTHER),
    "fmin": (SIGNED, OTHER),
    "gcd": (np.ceil(ABOVE).astype(np.int64), np.ceil(OTHER).astype(np.int64)),
    "greater_equal": (SIGNED, OTHER),
    "hypot": (SIGNED, OTHER),
    "isfinite": (SIGNED,),
    "isinf": (SIGNED,),
    "isnan": (SIGNED,),
    "less": (SIGNED, OTHER),
    "log": (ABOVE,),
    "log10": (ABOVE,),
    "log1p": (ABOVE,),
    "logical_or": (SIGNED > 0.0, OTHER > 1.0),
    "maximum": (SIGNED, OTHER),
    "minimum": (SIGNED, OTHER),
    "power": (ABOVE, 4.0 * SHARE),
    "rad2deg": (SIGNED,),
    "sign": (SIGNED,),
    "sin": (SIGNED,),
    "sqrt": (ABOVE,),
    "square": (SIGNED,),
    "tan": (1.5 * SHARE,),
    "tanh": (SIGNED,),
}
"""The element-wise functions of numpy that the code may use, and values to compare them at."""

DIFFER = {
    "arctan2", "average", "convolve", "cov", "cross", "dot", "einsum", "flip", "fliplr", "flipud", "inner",
    "interp", "linalg", "linspace", "matmul", "mean", "nanmean", "nansum", "outer", "polyfit", "std", "sum",
    "tensordot", "trapezoid", "var", "vdot", "vecdot",
}  # fmt: skip
"""Functions that add up in an order of their own, take one build alone, or reverse an array."""

METHODS_DIFFER = {"dot", "mean", "std", "sum", "var"}

EXCEPT = {
    ("questions/cruise.py", "np.linspace"): "the chart of one build",
    ("questions/descent.py", "np.linspace"): "the chart of one build",
    ("questions/cruise.py", "holds.reshape(*holds.shape[:-1], -1, gears)[..., ::-1]"): "truth values",
    ("mechanics/road_loads.py", "held[..., ::-1]"): "truth values",
}


def powers(tree: ast.AST) -> Iterator[str]:
    """Powers that Python's operator or `pow` would compute, and `arctan2`."""
    for node in ast.walk(tree):
        operator = isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.Pow)
        called = isinstance(node, ast.Call) and ast.unparse(node.func) in {"pow", "math.pow", "operator.pow"}
        if operator or called or "arctan2" in (getattr(node, "attr", ""), getattr(node, "name", "")):
            yield ast.unparse(node)


def unproven(tree: ast.AST) -> Iterator[str]:
    """Element-wise functions not in AGREE, functions and methods that differ, matrix products, reversals."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute):
            if isinstance(node.value, ast.Name) and node.value.id in {"np", "numpy"}:
                if node.attr in DIFFER or (_element_wise(node.attr) and node.attr not in AGREE):
                    yield ast.unparse(node)
            elif node.attr in METHODS_DIFFER:
                yield f".{node.attr}"
        elif isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] == "numpy":
            yield from (alias.name for alias in node.names if _element_wise(alias.name))
        elif isinstance(node, ast.BinOp | ast.AugAssign):
            if isinstance(node.op, ast.MatMult):
                yield ast.unparse(node)
        elif isinstance(node, ast.Subscript) and any(map(_backwards, ast.walk(node.slice))):
            yield ast.unparse(node)


def _element_wise(name: str) -> bool:
    return isinstance(getattr(np, name, None), np.ufunc)


def _backwards(node: ast.AST) -> bool:
    return isinstance(node, ast.Slice) and isinstance(node.step, ast.UnaryOp)


def test_products_are_written_out() -> None:
    found = {file: text for file, tree in trees().items() for text in powers(tree)}
    assert found == {}, "x * x, or np.power where the exponent is a fraction"


def test_only_functions_that_agree_compute() -> None:
    computing = {file: tree for file, tree in trees().items() if file.split("/")[0] in COMPUTE}
    found = {(file, text) for file, tree in computing.items() for text in unproven(tree)}
    assert found - EXCEPT.keys() == set(), "compare it in AGREE, or do without"
    assert EXCEPT.keys() - found == set(), "no longer an exception"


@pytest.mark.parametrize(
    "text",
    [
        "x ** 2",
        "x **= 3",
        "x ** 0.5",
        "2 ** 62",
        "pow(x, 2)",
        "math.pow(x, 3.0)",
        "np.arctan2(y, x)",
        "from numpy import arctan2",
    ],
)
def test_the_reading_finds_powers(text: str) -> None:
    assert list(powers(ast.parse(text))) != []


@pytest.mark.parametrize(
    "text",
    ["np.arctan2(y, x)", "np.logaddexp(x, y)", "x.sum(axis=-1)", "np.mean(x)", "np.linalg.norm(x)", "x @ y",
     "x[..., ::-1]", "x[::-2]", "np.flip(x)", "from numpy import arctan2", "np.linspace(x, y, 9)"],
)  # fmt: skip
def test_the_reading_finds_what_differs(text: str) -> None:
    assert list(unproven(ast.parse(text))) != []


@pytest.mark.parametrize("text", ["np.sin(x) * x[..., -1]", "np.where(x > 0, x, y)", "x[1::2]", "f(**names)"])
def test_the_reading_lets_the_rest_pass(text: str) -> None:
    assert list(unproven(ast.parse(text))) + list(powers(ast.parse(text))) == []


def strided(values: Array) -> Array:
    wide = np.zeros((len(values), 3), dtype=values.dtype)
    wide[:, 1] = values
    return wide[:, 1]


FORMS: dict[str, Callable[..., Array]] = {
    "without axes": lambda f, *v: np.array([f(*map(np.asarray, row)) for row in zip(*v, strict=True)]),
    "alone in an array": lambda f, *v: np.array([f(*([x] for x in row))[0] for row in zip(*v, strict=True)]),
    "whole": lambda f, *v: f(*v),
    "by seven": lambda f, *v: np.concatenate(
        [f(*(x[at : at + 7] for x in v)) for at in range(0, len(v[0]), 7)]
    ),
    "from the second on": lambda f, *v: np.concatenate([f(*(x[:1] for x in v)), f(*(x[1:] for x in v))]),
    "with gaps": lambda f, *v: f(*map(strided, v)),
    "a column of a list": lambda f, *v: f(*(np.asfortranarray(np.tile(x[:, None], 4)) for x in v))[:, 2],
    "repeated": lambda f, *v: f(*(np.broadcast_to(x[:, None], (len(x), 5)) for x in v))[:, 3],
}


@pytest.mark.parametrize("name", AGREE)
def test_a_function_rounds_alike_in_every_form(name: str) -> None:
    function, values = getattr(np, name), AGREE[name]
    alone = np.array([function(*row) for row in zip(*values, strict=True)])
    for form, applied in FORMS.items():
        np.testing.assert_array_equal(applied(function, *values), alone, err_msg=form)


@pytest.mark.parametrize("order", ["C", "F"])
@pytest.mark.parametrize("items", [3, 8, 9, 200])
def test_a_running_sum_adds_a_list_up_in_its_order(items: int, order: Any) -> None:
    """What the code may use for a sum: `sum` itself differs from eight items on."""
    lists = np.exp(RANDOM.uniform(-3.0, 3.0, (500, items)))
    alone = [np.cumsum(row)[-1] for row in lists]
    column = np.cumsum(np.asarray(lists, order=order), axis=-1)[..., -1]
    np.testing.assert_array_equal(column, alone)


def near(values: dict[str, Any], random: np.random.Generator) -> dict[str, Any]:
    """The same build with each number, or list of numbers, up to 3 % larger or smaller."""
    return {
        name: value * random.uniform(0.97, 1.03)
        if isinstance(value, float | np.ndarray) and not isinstance(ALL_FIELDS[name].kind, Count)
        else value
        for name, value in values.items()
    }


@pytest.mark.parametrize("question", QUESTIONS.values(), ids=list(QUESTIONS))
def test_a_long_column_is_its_builds_one_by_one(question: Question) -> None:
    """100 builds near the example: what differs for one value in twenty hardly slips through."""
    random = np.random.default_rng(7)
    builds = [near(read_fields(question.example, "us"), random) for _ in range(100)]
    picks = np.arange(len(builds))
    given = {name: Given(Pool([build[name] for build in builds]), picks) for name in builds[0]}
    together = answered(question, given, len(builds), "us")
    assert not together.faults
    alone = [ask(question, Build(build, {})).result for build in builds]
    for name, column in together.results.items():
        cells = [None if result[name] is None else np.asarray(result[name]).item() for result in alone]
        np.testing.assert_array_equal(column, np.array(cells, dtype=column.dtype), err_msg=name)


TRIALS = [
    "tests/test_same_bits.py::test_a_function_rounds_alike_in_every_form",
    "tests/test_same_bits.py::test_a_long_column_is_its_builds_one_by_one",
    "tests/batch/test_columns.py::test_together_is_one_by_one",
    "tests/questions/test_properties.py::test_a_column_of_builds_equals_its_builds",
]
"""The tests that compare one build with a column. The plain run has them with the vectors that are there."""


@pytest.mark.slow
def test_columns_agree_without_wide_vectors() -> None:
    found = np.show_config(mode="dicts")["SIMD Extensions"]["found"]
    wide = [name for name in found if name == "X86_V4" or name.startswith("AVX512")]
    if not wide:
        pytest.skip("this processor has no wide vectors: the plain run has run the same")
    trial = (
        "import sys, numpy, pytest;"
        "found = numpy.show_config(mode='dicts')['SIMD Extensions']['found'];"
        f"assert not set({wide!r}) & set(found), found;"
        "sys.exit(pytest.main(sys.argv[1:]))"
    )
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    done = subprocess.run(
        [sys.executable, "-c", trial, "-q", "-x", "-p", "no:cacheprovider", "-n", "0", *TRIALS],
        cwd=ROOT.parent,
        env=environment | {"NPY_DISABLE_CPU_FEATURES": " ".join(wide)},
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr

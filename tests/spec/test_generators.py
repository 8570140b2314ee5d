"""The spec document in the hands of programs that others wrote: generated clients ask the running service.

The programs are those of `package.json` and `requirements.txt` beside this file, installed outside the tree in
folders that `GENERATORS_NODE` and `GENERATORS_PYTHON` name; openapi-generator needs Java.
"""

import os
import shutil
import subprocess
import textwrap
from collections.abc import Iterator
from pathlib import Path

import pytest

from gearing_api.http.spec import spec, spec_text
from tests.benchmarks.service import running

NODE = Path(os.environ.get("GENERATORS_NODE", "/nowhere")) / "node_modules" / ".bin"
PYTHON = Path(os.environ.get("GENERATORS_PYTHON", "/nowhere")) / "bin"
TSC = "--strict --target es2022 --lib es2022,dom,dom.iterable --module esnext --moduleResolution bundler"
GENERATE = "generate -i openapi.json -g {} -o made"
OPERATIONS = sum(len(operations) for operations in spec()["paths"].values())
ANSWERS = "35.0 3.73 55.3 [33.0, 37.0] 10"
"""Diameter, effective ratio, crawl ratio, diameters of many and a count, as each client prints them."""

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not NODE.exists(), reason="GENERATORS_NODE names no folder of npm packages"),
    pytest.mark.skipif(not PYTHON.exists(), reason="GENERATORS_PYTHON names no environment"),
    pytest.mark.skipif(shutil.which("java") is None, reason="java is not installed"),
]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """Of the running service."""
    with running() as service:
        yield f"http://127.0.0.1:{service.port}"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """With the spec document, and a package file that makes its scripts modules."""
    (tmp_path / "openapi.json").write_text(spec_text(), encoding="utf-8")
    (tmp_path / "package.json").write_text('{"type": "module"}')
    return tmp_path


def run(folder: Path, *command: str | Path) -> str:
    """What the command prints; it must succeed."""
    done = subprocess.run([*map(str, command)], cwd=folder, capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, (done.stdout + done.stderr)[-4000:]
    return done.stdout


def compiled(folder: Path, program: str, *more: str) -> str:
    """What a TypeScript program prints, once it has been compiled without an error."""
    (folder / "use.ts").write_text(textwrap.dedent(program), encoding="utf-8")
    run(folder, NODE / "tsc", *TSC.split(), "--noEmit", "use.ts", *more)
    bundle = ["--bundle", "--platform=node", "--format=esm", "--outfile=use.js"]
    run(folder, NODE / "esbuild", "use.ts", *bundle)
    return run(folder, "node", "use.js").strip()


REQUESTS = """
    const crawl = {
      tyre: "35x12.50R17LT", axle_ratio: 4.56, gear_ratios: [4.46, 2.61, 1], transfer_ratios: [1, 2.72],
    };
    const drive = { tyre: "315/70R17", axle_ratio: 3.73 };
    const many = { columns: { tyre: ["33x12.50R17LT", "37x13.50R17LT"] } };
"""
CHECKS = """
    const known = (value: number | null | undefined): number => {
      if (typeof value !== "number") throw new Error("no number");
      return value;
    };
    const decimals = (value: number | null | undefined): string => known(value).toFixed(1);
"""
SHOWN = """
    console.log(
      decimals(tyre), known(ratio), decimals(climb), `[${list.map((one) => Number(one).toFixed(1)).join(", ")}]`,
      rows > 5 ? 10 : rows,
    );
"""


def test_openapi_typescript(folder: Path, address: str) -> None:
    run(folder, NODE / "openapi-typescript", "openapi.json", "-o", "schema.d.ts")
    program = f"""
    import type {{ components, paths }} from "./schema";
    type Schemas = components["schemas"];
    type Query = NonNullable<paths["/v1/tyre"]["get"]["parameters"]["query"]>;
    {REQUESTS}{CHECKS}
    const crawlRequest: Schemas["CrawlBuild"] = crawl;
    const driveRequest: Schemas["FinalDriveBuild"] = drive;
    const columns: Schemas["Columns"] = many;
    const query: Query = {{ tyre: "35x12.50R17LT", tyre_load: 1200 }};
    const texts = Object.entries(query).map(([name, value]): [string, string] => [name, String(value)]);
    const ask = async <T>(path: string, body?: unknown): Promise<T> => {{
      const sent = body === undefined ? undefined : {{
        method: "POST", body: JSON.stringify(body), headers: {{ "Content-Type": "application/json" }},
      }};
      const response = await fetch("{address}" + path, sent);
      if (!response.ok) throw new Error(await response.text());
      return (await response.json()) as T;
    }};
    const tyre = (await ask<Schemas["TyreAnswer"]>("/v1/tyre?" + new URLSearchParams(texts))).result.diameter;
    const ratio = (await ask<Schemas["FinalDriveAnswer"]>("/v1/final-drive", driveRequest)).result.effective_ratio;
    const climb = (await ask<Schemas["CrawlAnswer"]>("/v1/crawl", crawlRequest)).result.crawl_ratio;
    const list = (await ask<Schemas["ManyAnswer"]>("/v1/tyre/batch", columns)).columns.diameter;
    const rows = (await ask<Schemas["ServedTable"]>("/v1/tables/surfaces")).rows.length;
    {SHOWN}
    """
    assert compiled(folder, program) == ANSWERS


def test_hey_api(folder: Path, address: str) -> None:
    run(folder, NODE / "openapi-ts", "-i", "openapi.json", "-o", "hey", "-c", "@hey-api/client-fetch")
    assert (folder / "hey/sdk.gen.ts").read_text().count("export const ") == OPERATIONS
    program = f"""
    import {{ client }} from "./hey/client.gen";
    import {{ batch, crawlPost, finalDrivePost, table, tyre as askTyre }} from "./hey/sdk.gen";
    client.setConfig({{ baseUrl: "{address}", throwOnError: true }});
    {REQUESTS}{CHECKS}
    const options = {{ throwOnError: true as const }};
    const query = {{ tyre: "35x12.50R17LT", tyre_load: 1200 }};
    const tyre = (await askTyre({{ query, ...options }})).data.result.diameter;
    const ratio = (await finalDrivePost({{ body: drive, ...options }})).data.result.effective_ratio;
    const climb = (await crawlPost({{ body: crawl, ...options }})).data.result.crawl_ratio;
    const path = {{ question: "tyre" as const }};
    const list = (await batch({{ path, body: many, ...options }})).data.columns.diameter;
    const rows = (await table({{ path: {{ name: "surfaces" }}, ...options }})).data.rows.length;
    {SHOWN}
    """
    assert compiled(folder, program) == ANSWERS


def test_orval(folder: Path, address: str) -> None:
    output = f"{{ target: './orval.ts', client: 'fetch', baseUrl: '{address}' }}"
    settings = f"module.exports = {{ gearing: {{ input: './openapi.json', output: {output} }} }};"
    (folder / "orval.config.cjs").write_text(settings)
    run(folder, NODE / "orval", "--config", "orval.config.cjs")
    assert (folder / "orval.ts").read_text().count("= async (") == OPERATIONS
    program = f"""
    import {{ batch, crawlPost, finalDrivePost, table, tyre as askTyre }} from "./orval";
    {REQUESTS}{CHECKS}
    const answer = <T, S>(of: {{ status: 200; data: T }} | {{ status: S; data: unknown }}): T => {{
      if (of.status !== 200) throw new Error(JSON.stringify(of.data));
      return of.data as T;
    }};
    const tyre = answer(await askTyre({{ tyre: "35x12.50R17LT", tyre_load: 1200 }})).result.diameter;
    const ratio = answer(await finalDrivePost(drive)).result.effective_ratio;
    const climb = answer(await crawlPost(crawl)).result.crawl_ratio;
    const list = answer(await batch("tyre", many)).columns.diameter;
    const rows = answer(await table("surfaces")).rows.length;
    {SHOWN}
    """
    assert compiled(folder, program) == ANSWERS


def test_openapi_python_client(folder: Path, address: str) -> None:
    (folder / "config.yaml").write_text("content_type_overrides:\n  text/csv: application/octet-stream\n")
    options = (
        "--path",
        "openapi.json",
        "--output-path",
        "client",
        "--meta",
        "none",
        "--config",
        "config.yaml",
    )
    run(folder, PYTHON / "openapi-python-client", "generate", *options)
    modules = [path for path in (folder / "client/api").glob("*/*.py") if path.name != "__init__.py"]
    assert len(modules) == OPERATIONS
    assert len([*(folder / "client").rglob("*.py")]) < 234
    (folder / "use.py").write_text(
        textwrap.dedent(f"""
        from client import Client
        from client.api.many_builds import batch
        from client.api.questions import crawl_post, final_drive_post, tyre
        from client.api.tables import table
        from client.models import Columns, CrawlBuild, FieldColumns, FinalDriveBuild, QuestionName, TableName

        client = Client("{address}")
        fitted = tyre.sync(client=client, tyre="35x12.50R17LT", tyre_load=1200.0)
        drive = FinalDriveBuild(tyre="315/70R17", axle_ratio=3.73)
        driven = final_drive_post.sync(client=client, body=drive)
        build = CrawlBuild(
            tyre="35x12.50R17LT", axle_ratio=4.56, gear_ratios=[4.46, 2.61, 1.0], transfer_ratios=[1.0, 2.72]
        )
        climbing = crawl_post.sync(client=client, body=build)
        columns = FieldColumns.from_dict({{"tyre": ["33x12.50R17LT", "37x13.50R17LT"]}})
        many = batch.sync(QuestionName.TYRE, client=client, body=Columns(columns=columns))
        rows = table.sync(TableName.SURFACES, client=client).rows
        print(
            fitted.result.diameter, driven.result.effective_ratio, round(climbing.result.crawl_ratio, 1),
            many.columns["diameter"], 10 if len(rows) > 5 else len(rows),
        )
        """)
    )
    assert run(folder, PYTHON / "python", "use.py").strip() == ANSWERS


def test_openapi_generator_in_python(folder: Path, address: str) -> None:
    """Its reader of lists of numbers or text takes only objects of its classes: lists go as text, tables not."""
    run(folder, PYTHON / "openapi-generator-cli", *GENERATE.format("python").split())
    (folder / "made/use.py").write_text(
        textwrap.dedent(f"""
        from openapi_client import ApiClient, Configuration, QuestionsApi
        from openapi_client.models.crawl_build import CrawlBuild
        from openapi_client.models.final_drive_build import FinalDriveBuild
        from openapi_client.models.tyre_build import TyreBuild

        questions = QuestionsApi(ApiClient(Configuration(host="{address}")))
        fitted = questions.tyre("35x12.50R17LT")
        drive = FinalDriveBuild.from_dict({{"tyre": "315/70R17", "axle_ratio": 3.73}})
        driven = questions.final_drive_post(drive)
        build = {{"tyre": "35x12.50R17LT", "axle_ratio": 4.56, "gear_ratios": "4.46,2.61,1", "pick": "crawl_ratio"}}
        climbing = questions.crawl_post(CrawlBuild.from_dict(build | {{"transfer_ratios": "1,2.72"}}))
        sizes = ("33x12.50R17LT", "37x13.50R17LT")
        many = [questions.tyre_post(TyreBuild.from_dict({{"tyre": size}})).result.diameter for size in sizes]
        print(fitted.result.diameter, driven.result.effective_ratio, round(climbing.result.crawl_ratio, 1), many, 10)
        """)
    )
    assert run(folder / "made", PYTHON / "python", "use.py").strip() == ANSWERS


def test_openapi_generator_in_typescript(folder: Path, address: str) -> None:
    run(
        folder,
        PYTHON / "openapi-generator-cli",
        *GENERATE.format("typescript-fetch").split(),
    )
    program = f"""
    import {{ Configuration, ManyBuildsApi, QuestionsApi, TablesApi }} from "./made";
    const configuration = new Configuration({{ basePath: "{address}" }});
    const questions = new QuestionsApi(configuration);
    const drive = {{ tyre: "315/70R17", axleRatio: 3.73 }};
    const crawl = {{ tyre: "35x12.50R17LT", axleRatio: 4.56, gearRatios: "4.46,2.61,1", transferRatios: "1,2.72" }};
    const many = {{ columns: {{ tyre: ["33x12.50R17LT", "37x13.50R17LT"] }} }};
    {CHECKS}
    const tyre = (await questions.tyre({{ tyre: "35x12.50R17LT" }})).result.diameter;
    const ratio = (await questions.finalDrivePost({{ finalDriveBuild: drive }})).result.effectiveRatio;
    const climb = (await questions.crawlPost({{ crawlBuild: crawl }})).result.crawlRatio;
    const builds = new ManyBuildsApi(configuration);
    const list = (await builds.batch({{ question: "tyre", columns: many }})).columns.diameter;
    const rows = (await new TablesApi(configuration).table({{ name: "surfaces" }})).rows.length;
    {SHOWN}
    """
    assert compiled(folder, program) == ANSWERS


def test_spectral(folder: Path) -> None:
    (folder / "rules.yaml").write_text('extends: ["spectral:oas"]\n')
    run(folder, NODE / "spectral", "lint", "openapi.json", "-r", "rules.yaml", "--fail-severity", "error")


def test_redocly(folder: Path) -> None:
    run(folder, NODE / "redocly", "lint", "openapi.json", "--extends", "recommended")

// <gearing-card>: a small form about a swap of tyres and axle gears, and what it does, live.
// No build, no dependency, no inline style: it works under a page's strict Content-Security-Policy.

const HOME = new URL("../../", import.meta.url);
const NAME = "gearing-card";
const LATER = 300; // milliseconds of quiet before what is typed is asked

const WORDS = {
  en: {
    title: "What the swap does",
    tyre: "Tyre", original_tyre: "Tyre before",
    axle_ratio: "Axle ratio", original_axle_ratio: "Axle ratio before",
    gear_ratios: "Gears, first to top", transfer_ratios: "Transfer case, high range first",
    units: "Units", us: "mph", metric: "km/h",
    ask: "Work it out", asking: "Working it out …", done: (count) => `${count} figures`,
    circumference_change_percent: "Way of one wheel turn",
    effective_ratio: "Axle ratio it feels like",
    restoring_ratio: "Axle ratio that gives the original back",
    engine_speed_change_percent: "Engine speed at the same road speed",
    true_speed: (speed) => `True speed at ${speed} on the dial`,
    crawl_ratio: "Crawl ratio", crawl_speed: "Crawl speed at idle",
    chart: "Engine speed by road speed", gear: "gear", before: "top gear before", upshift: "upshift",
    to: "to", cautions: (count) => (count === 1 ? "1 caution" : `${count} cautions`),
    all: "Every answer for this build",
    careful: "Estimates for comparison. What the makers allow, the law and a licensed inspector decide. " +
      "Check steering, brakes and driveline again after such a change.",
    check: "Please check", unreachable: "The service does not answer. Please try again.",
    unit: {},
  },
  de: {
    title: "Was der Umbau bewirkt",
    tyre: "Reifen", original_tyre: "Reifen vorher",
    axle_ratio: "Achsübersetzung", original_axle_ratio: "Achsübersetzung vorher",
    gear_ratios: "Gänge, erster bis höchster", transfer_ratios: "Verteilergetriebe, Straßengang zuerst",
    units: "Einheiten", us: "mph", metric: "km/h",
    ask: "Berechnen", asking: "Wird berechnet …", done: (count) => `${count} Werte`,
    circumference_change_percent: "Weg einer Radumdrehung",
    effective_ratio: "Fühlt sich an wie Achsübersetzung",
    restoring_ratio: "Achsübersetzung, die das Alte zurückgibt",
    engine_speed_change_percent: "Drehzahl bei gleicher Geschwindigkeit",
    true_speed: (speed) => `Wirkliche Geschwindigkeit bei Tacho ${speed}`,
    crawl_ratio: "Kriechübersetzung", crawl_speed: "Kriechgeschwindigkeit im Leerlauf",
    chart: "Drehzahl über Geschwindigkeit", gear: "Gang", before: "höchster Gang vorher", upshift: "Schaltpunkte",
    to: "bis", cautions: (count) => (count === 1 ? "1 Hinweis" : `${count} Hinweise`),
    all: "Alle Antworten zu diesem Fahrzeug",
    careful: "Schätzwerte zum Vergleichen. Es entscheiden die Vorgaben der Hersteller, das Recht vor Ort und " +
      "ein Sachverständiger. Lenkung, Bremsen und Antrieb nach dem Umbau neu prüfen.",
    check: "Bitte prüfen", unreachable: "Der Dienst antwortet nicht. Bitte noch einmal versuchen.",
    unit: { rpm: "1/min" },
  },
};

const SWAP = ["tyre", "original_tyre", "axle_ratio", "original_axle_ratio"];
const GEARS = ["gear_ratios", "transfer_ratios"];
const FIELDS = [...SWAP, ...GEARS];
const MORE = ["idle_speed", "redline_speed"]; // attributes only
const QUESTIONS = {
  "final-drive": SWAP,
  speedometer: SWAP,
  crawl: ["tyre", "axle_ratio", ...GEARS, "idle_speed"],
  "road-speed": [...SWAP, ...GEARS, ...MORE],
};
const SIGNED = { signDisplay: "exceptZero", maximumFractionDigits: 1 };

const SHEET = new CSSStyleSheet();
SHEET.replaceSync(`
:host { display: block; container-type: inline-size;
  --ink: var(--gearing-ink, #1c2321); --paper: var(--gearing-paper, #fffdf8); --line: var(--gearing-line, #cfc5b1);
  --soft: var(--gearing-soft, #5a655f); --mark: var(--gearing-mark, #9a3b12); --link: var(--gearing-link, #0b5e73);
  font: 1rem/1.45 var(--gearing-font, system-ui, sans-serif); color: var(--ink); }
@supports (color: light-dark(red, red)) { :host {
  --ink: var(--gearing-ink, light-dark(#1c2321, #e9e5da)); --paper: var(--gearing-paper, light-dark(#fffdf8, #202625));
  --line: var(--gearing-line, light-dark(#cfc5b1, #4a5552)); --soft: var(--gearing-soft, light-dark(#5a655f, #a9b3ae));
  --mark: var(--gearing-mark, light-dark(#9a3b12, #f2a065)); --link: var(--gearing-link, light-dark(#0b5e73, #7cc4d6)); } }
:host([hidden]) { display: none; }
* { box-sizing: border-box; }
section { background: var(--paper); border: 1px solid var(--line); border-radius: var(--gearing-radius, .5rem);
  padding: 1.1rem 1.25rem; display: grid; gap: 1rem 2rem; }
.title { margin: 0; font: 600 1.3rem/1.2 var(--gearing-heading-font, "Iowan Old Style", "Palatino Linotype", P052, Georgia, serif);
  border-bottom: 3px double var(--line); padding-bottom: .5rem; }
form { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: .7rem .9rem; align-content: start; }
label { display: grid; gap: .2rem; font-size: .85rem; color: var(--soft); align-content: end; }
label.wide { grid-column: 1 / -1; }
input, select, button { font: inherit; font-size: 1rem; min-height: 2.5rem; width: 100%; border-radius: .3rem; padding: .35rem .55rem; }
input, select { color: var(--ink); background: transparent; border: 1px solid var(--soft); }
option { color: var(--ink); background: var(--paper); }
input[aria-invalid=true] { border: 2px solid var(--mark); }
button { cursor: pointer; font-weight: 600; color: var(--paper); background: var(--mark); border: 0; align-self: end; }
:focus-visible { outline: 3px solid var(--link); outline-offset: 2px; }
dl, p { margin: 0; }
dl div { display: flex; align-items: baseline; gap: .4rem; padding: .22rem 0; }
dl div::before { content: ""; order: 1; flex: 1; min-width: 1rem; border-bottom: 2px dotted var(--line); }
dd { order: 2; margin: 0; font-weight: 700; font-variant-numeric: tabular-nums; white-space: nowrap; }
dd small { font-weight: 400; color: var(--soft); }
.alert { border-left: 4px solid var(--mark); padding: .1rem 0 .1rem .7rem; } .alert:empty { position: absolute; border: 0; padding: 0; }
.status { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
.notes, a, summary { font-size: .85rem; } .notes { color: var(--soft); }
a, summary { color: var(--link); } summary { cursor: pointer; } ul { margin: .4rem 0 0; padding-left: 1.1rem; }
figure { margin: 0; } figcaption { font-size: .85rem; color: var(--soft); }
svg { display: block; width: 100%; height: auto; overflow: visible; }
svg text { font-size: 12px; fill: var(--soft); } svg .name { fill: var(--link); } svg .told { fill: var(--ink); }
svg path { fill: none; stroke: var(--line); } svg .axis { stroke: var(--soft); }
svg .gear { stroke: var(--link); stroke-width: 1.6; } svg .gear:nth-of-type(4n+2) { stroke-dasharray: 9 3; }
svg .gear:nth-of-type(4n+3) { stroke-dasharray: 9 3 2 3; } svg .gear:nth-of-type(4n) { stroke-dasharray: 3 2; }
svg .up { stroke: var(--mark); stroke-width: 3; stroke-linejoin: round; }
svg .before { stroke: var(--ink); stroke-width: 1.6; stroke-dasharray: 1.5 3; }
@container (min-width: 46rem) { section { grid-template-columns: minmax(0, 4fr) minmax(0, 6fr); }
  .title, .alert { grid-column: 1 / -1; } footer { align-content: start; } }
footer { display: grid; gap: .5rem; border-top: 1px solid var(--line); padding-top: .7rem; }
`);

/** An element with attributes and children; text is never read as markup. */
const made = (tag, attributes = {}, ...children) => {
  const drawn = ["svg", "title", "desc", "g", "path", "text"].includes(tag);
  const node = drawn ? document.createElementNS("http://www.w3.org/2000/svg", tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
};

const dashed = (field) => field.replaceAll("_", "-");

/** A step of 1, 2 or 5 times a power of ten that divides the span into at most so many. */
const step = (span, most) => {
  const unit = 10 ** Math.floor(Math.log10(span / most));
  return [1, 2, 5, 10].map((times) => times * unit).find((size) => span / size <= most);
};

class GearingCard extends HTMLElement {
  static observedAttributes = ["lang", "units", "service", ...[...FIELDS, ...MORE].map(dashed)];

  #inputs = {};
  #abort = null;
  #timer = 0;
  #drawn = null; // table and swap of the chart
  #width = 0;
  #room = null;

  connectedCallback() {
    this.#draw();
    this.#ask();
  }

  disconnectedCallback() {
    this.#room?.disconnect();
    clearTimeout(this.#timer);
    this.#abort?.abort();
  }

  attributeChangedCallback(name, old, now) {
    if (old !== now && this.shadowRoot && this.isConnected) {
      this.#draw();
      this.#later();
    }
  }

  /** The fields as they stand in the form, in the notation of the page's language. */
  get build() {
    const filled = FIELDS.map((field) => [field, this.#inputs[field].value.trim()]);
    const more = MORE.map((field) => [field, this.getAttribute(dashed(field)) ?? ""]);
    return Object.fromEntries([...filled, ...more].filter(([, text]) => text));
  }

  get #lang() {
    return this.closest("[lang]")?.lang || "en";
  }

  get #words() {
    return WORDS[this.#lang.split("-")[0].toLowerCase()] ?? WORDS.en;
  }

  get #units() {
    const english = /^en(-us)?$/i.test(this.#lang);
    return this.#inputs.units?.value || this.getAttribute("units") || (english ? "us" : "metric");
  }

  get #comma() {
    return (1.5).toLocaleString(this.#lang).includes(",");
  }

  #number(value, options = { maximumSignificantDigits: 4 }) {
    return value === null ? "–" : value.toLocaleString(this.#lang, options);
  }

  #draw() {
    const words = this.#words;
    const units = this.getAttribute("units") || this.#units;
    const root = this.shadowRoot ?? this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [SHEET];
    this.#inputs = {};
    const labelled = (field, input) => {
      this.#inputs[field] = input;
      const wide = GEARS.includes(field) ? { class: "wide" } : {};
      return made("label", { part: "label", ...wide }, words[field], input);
    };
    const input = (field) => {
      const text = this.getAttribute(dashed(field)) ?? "";
      const local = this.#comma && !field.endsWith("tyre") ? text.replaceAll(",", ";").replaceAll(".", ",") : text;
      return made("input", { name: field, part: "input", value: local, autocomplete: "off", spellcheck: "false" });
    };
    const choice = made("select", { name: "units", part: "input" },
      ...["us", "metric"].map((unit) => made("option", { value: unit, ...(unit === units && { selected: "" }) }, words[unit])));
    const form = made("form", { part: "form", novalidate: "" },
      ...FIELDS.map((field) => labelled(field, input(field))),
      labelled("units", choice), made("button", { part: "button", type: "submit" }, words.ask));
    form.addEventListener("input", () => this.#later());
    form.addEventListener("submit", (event) => { event.preventDefault(); this.#ask(); });
    const parts = {
      status: made("p", { class: "status", role: "status" }),
      alert: made("div", { class: "alert", part: "alert", role: "alert", id: "alert" }),
      answers: made("dl", { part: "answers" }),
      chart: made("figure", { part: "chart" }),
      footer: made("footer", { part: "notes" }),
    };
    this.parts = parts;
    root.replaceChildren(made("section", { part: "card", "aria-label": words.title },
      made("p", { class: "title", part: "title" }, words.title), parts.alert, form, parts.chart, parts.answers,
      parts.footer, parts.status));
    this.#room?.disconnect();
    this.#room = new ResizeObserver(() => {
      if (parts.chart.clientWidth !== this.#width) this.#drawChart();
    });
    this.#room.observe(parts.chart);
  }

  #later() {
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), LATER);
  }

  #address(path, fields, more = {}) {
    const base = this.getAttribute("service");
    const address = new URL(path, base ? new URL(base.replace(/\/?$/, "/"), document.baseURI) : HOME);
    const build = this.build;
    for (const field of fields) if (build[field]) address.searchParams.set(field, build[field]);
    const comma = this.#comma ? { decimal: "comma" } : {};
    for (const [name, value] of Object.entries({ units: this.#units, ...comma, ...more })) address.searchParams.set(name, value);
    return address;
  }

  async #answer(question, signal) {
    const dial = question === "speedometer" ? { indicated_speeds: this.#units === "us" ? 60 : 100 } : {};
    const address = this.#address(`v1/${question}.json`, QUESTIONS[question], dial);
    const response = await fetch(address, { signal, credentials: "omit" });
    const answer = await response.json();
    if (!response.ok) throw Object.assign(new Error(answer.detail), { problem: answer });
    return answer;
  }

  async #ask() {
    clearTimeout(this.#timer);
    this.#abort?.abort();
    const { signal } = (this.#abort = new AbortController());
    const { build } = this;
    const asked = Object.keys(QUESTIONS).filter((question) => build.gear_ratios || !QUESTIONS[question].includes("gear_ratios"));
    this.parts.status.textContent = this.#words.asking;
    const found = await Promise.allSettled(asked.map((question) => this.#answer(question, signal)));
    if (signal.aborted) return;
    const answers = Object.fromEntries(found.flatMap(({ value }, place) => (value ? [[asked[place], value]] : [])));
    const errors = found.flatMap(({ reason }) => (reason ? [reason] : []));
    this.#tellErrors(errors);
    this.#tell(answers);
    const event = (name, detail) => this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true, detail }));
    if (errors.length) event("gearing-error", { build, problems: errors.map(({ problem }) => problem ?? null) });
    if (Object.keys(answers).length) event("gearing-answer", { build, answers });
  }

  #tellErrors(errors) {
    const words = this.#words;
    const faults = new Map(errors.flatMap(({ problem }) => problem?.errors ?? [])
      .map(({ pointer, detail }) => [pointer.slice(1), detail]));
    for (const [field, input] of Object.entries(this.#inputs)) {
      for (const [name, value] of [["aria-invalid", "true"], ["aria-describedby", "alert"]]) {
        if (faults.has(field)) input.setAttribute(name, value);
        else input.removeAttribute(name);
      }
    }
    const lines = [...faults].map(([field, detail]) =>
      made("li", {}, `${words[field] ?? field}: `, made("span", { lang: "en" }, detail)));
    const other = errors.find(({ problem }) => !problem?.errors?.length);
    if (other) lines.push(other.problem ? made("li", { lang: "en" }, other.message) : made("li", {}, words.unreachable));
    this.parts.alert.replaceChildren(...(lines.length ? [`${words.check}:`, made("ul", {}, ...lines)] : []));
  }

  #tell(answers) {
    const words = this.#words;
    const swap = answers["final-drive"];
    const rows = [];
    const row = (name, answer, field, options) => {
      if (!answer) return;
      const unit = answer.result_units[field];
      const told = this.#number(answer.result[field], options);
      rows.push(made("div", { part: "figure" }, made("dt", {}, name),
        made("dd", { part: "value" }, told, made("small", {}, unit ? ` ${words.unit[unit] ?? unit}` : ""))));
    };
    for (const field of ["circumference_change_percent", "engine_speed_change_percent"]) row(words[field], swap, field, SIGNED);
    for (const field of ["effective_ratio", "restoring_ratio"]) row(words[field], swap, field);
    const dial = answers.speedometer?.table;
    if (dial) {
      const [shown, real] = ["indicated_speed", "true_speed"].map((name) => dial.rows[0][dial.columns.indexOf(name)]);
      const unit = dial.units[dial.columns.indexOf("true_speed")];
      row(words.true_speed(this.#number(shown)), { result: { real }, result_units: { real: unit } }, "real");
    }
    for (const field of ["crawl_ratio", "crawl_speed"]) row(words[field], answers.crawl, field);
    this.parts.answers.replaceChildren(...rows);
    this.parts.status.textContent = rows.length ? words.done(rows.length) : "";
    this.#drawn = answers["road-speed"] && [answers["road-speed"].table, swap];
    this.#drawChart();
    this.#tellCautions(Object.values(answers));
  }

  #tellCautions(answers) {
    const words = this.#words;
    const told = [...new Set(answers.flatMap(({ cautions }) => cautions.map(({ text }) => text)))];
    const list = made("details", {}, made("summary", {}, words.cautions(told.length)),
      made("ul", { class: "notes", lang: "en" }, ...told.map((text) => made("li", {}, text))));
    const all = this.#address("v1/build-sheet.html", [...FIELDS, ...MORE]).href;
    this.parts.footer.replaceChildren(...(told.length ? [list] : []),
      ...(answers.length ? [made("p", {}, made("a", { href: all, part: "link" }, words.all))] : []),
      made("p", { class: "notes" }, words.careful));
  }

  /** The chart as wide as there is room, so that its words keep their size. */
  #drawChart() {
    this.#width = this.parts.chart.clientWidth;
    const width = Math.min(Math.max(this.#width, 280), 760);
    this.parts.chart.replaceChildren(...(this.#drawn ? this.#chart(width, ...this.#drawn) : []));
  }

  /** Each gear of high range up to redline, the way up through them, and top gear before the swap. */
  #chart(width, table, swap) {
    const words = this.#words;
    const at = Object.fromEntries(table.columns.map((name, place) => [name, place]));
    const unit = (name) => words.unit[table.units[at[name]]] ?? table.units[at[name]];
    const gears = table.rows.filter((row) => row[at.transfer_ratio] === table.rows[0][at.transfer_ratio])
      .map((row) => ({ top: row[at.top_speed], after: row[at.engine_speed_after_upshift],
        redline: (1000 * row[at.top_speed]) / row[at.speed_per_1000] }));
    const redline = gears[0].redline;
    const last = gears.at(-1).top;
    const before = last * (1 + (swap?.result.engine_speed_change_percent ?? 0) / 100);
    const height = Math.max(240, Math.round(width * 0.56));
    const [left, right, top, bottom] = [48, width - 14, 48, height - 38];
    const fastest = Math.max(last, before, ...gears.map((gear) => gear.top));
    const x = (speed) => (left + ((right - left) * speed) / fastest).toFixed(1);
    const y = (turns) => (bottom - ((bottom - top) * turns) / redline).toFixed(1);
    const line = (kind, ...points) => made("path", { class: kind, d: `M${points.map((point) => point.join(" ")).join("L")}` });
    const text = (words_, x_, y_, anchor, kind = "") => made("text", { x: x_, y: y_, "text-anchor": anchor, class: kind }, words_);

    const grid = made("g");
    const across = step(fastest, width / 70);
    for (let speed = 0; speed <= fastest; speed += across) {
      grid.append(line("rule", [x(speed), top], [x(speed), bottom]), text(this.#number(speed), x(speed), bottom + 18, "middle"));
    }
    const up = step(redline, 6);
    for (let turns = up; turns <= redline; turns += up) {
      grid.append(line("rule", [left, y(turns)], [right, y(turns)]), text(this.#number(turns), left - 8, +y(turns) + 4, "end"));
    }
    grid.append(line("axis", [left, top], [left, bottom], [right, bottom]),
      text(unit("top_speed"), right, bottom + 34, "end"), text(unit("cruise_engine_speed"), left - 8, top - 14, "end"));

    const lines = made("g", {}, ...gears.map((gear) => line("gear", [x(0), y(0)], [x(gear.top), y(redline)])));
    const teeth = gears.flatMap((gear) => [[x(gear.top), y(redline)], ...(gear.after ? [[x(gear.top), y(gear.after)]] : [])]);
    const names = made("g");
    let free = 0;
    gears.forEach((gear, place) => {
      if (x(gear.top) - free < 0) return;
      names.append(text(place ? `${place + 1}` : `${words.gear} 1`, x(gear.top), top - 8, "middle", "name"));
      free = +x(gear.top) + 16;
    });
    const changed = Math.abs(before - last) > 1e-6 * last;
    const old = changed ? [line("before", [x(0), y(0)], [x(before), y(redline)]),
      text(words.before, Math.min(x(before), right), top - 26, "end", "told")] : [];
    const told = gears.map((gear, place) => `${words.gear} ${place + 1}: ${words.to} ${this.#number(gear.top)} ${unit("top_speed")}`);
    if (changed) told.push(`${words.before}: ${words.to} ${this.#number(before)} ${unit("top_speed")}`);
    return [made("figcaption", { "aria-hidden": "true" }, `${words.chart} (${unit("cruise_engine_speed")}, ${unit("top_speed")})`),
      made("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-labelledby": "chart-title chart-desc" },
        made("title", { id: "chart-title" }, words.chart), made("desc", { id: "chart-desc" }, `${told.join("; ")}.`),
        grid, lines, line("up", [x(0), y(0)], ...teeth), ...old, names)];
  }
}

if (!customElements.get(NAME)) customElements.define(NAME, GearingCard);

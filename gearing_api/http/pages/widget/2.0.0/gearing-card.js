// <gearing-card>: a planned build on top, what it does below: a verdict for each question, and a ruler of axle ratios.
// No build, no dependency, no markup from text, no inline style: it works under a page's strict Content-Security-Policy.

const HOME = new URL("../../", import.meta.url);
const NAME = "gearing-card";
const LATER = 450; // milliseconds of quiet before what is typed is asked
const STEP = 120; // the same while the ruler is dragged
const SAME = 0.006; // axle ratios that are one, as they are typed with two decimals

const WORDS = {
  en: {
    title: "What the swap does",
    tyre: "Tyre",
    original_tyre: "Tyre before",
    axle_ratio: "Axle ratio",
    original_axle_ratio: "Axle ratio before",
    gear_ratios: "Gears, first to top",
    transfer_ratios: "Transfer case, high range first",
    peak_torque: "Highest torque",
    peak_power: "Highest power",
    peak_power_speed: "at",
    idle_speed: "Idle speed",
    redline_speed: "Redline",
    vehicle_mass: "Mass as driven",
    altitude: "Altitude",
    cruise_speed: "Cruise speed",
    target_crawl_ratio: "Crawl ratio wanted",
    hold_grade_percent: "Grade to hold in top gear",
    units: "Units",
    us: "mph, lb",
    metric: "km/h, kg",
    axle: "Axle",
    gears: "Gears",
    low: "Low range",
    engine: "Engine",
    mass: "Mass and place",
    targets: "Targets",
    none: "not given",
    close: "Close",
    calculate: "Calculate",
    asking: "Calculating …",
    stop: "stop",
    check: "check",
    unknown: "not known",
    clear: "nothing found",
    needs: "needs",
    add: "Add",
    feel: "Feel",
    road: "Road",
    climb: "Climb",
    crawl: "Crawl",
    downhill: "Downhill",
    strength: "Strength",
    load: "Load",
    clearance: "Clearance",
    speedometer: "Speedometer",
    driveline: "Driveline",
    ruler: "Axle ratio",
    met: "every target met from",
    to: "to",
    unmet: "no ratio meets every target",
    more: "or more",
    less: "or less",
    fitted: "fitted",
    original: "original",
    restoring: "restores the original",
    all: "All figures, with their sources",
    careful: "Estimates for comparison, not a rating. The makers of axle, gears and tyres, local vehicle law and a licensed " +
      "engineer or inspector decide. Re-check steering, brakes and driveline after such a change.",
    wrong: "Please check",
    use: "use",
    unreachable: "The service does not answer. The answer shown is that before the change.",
  },
  de: {
    title: "Was der Umbau bewirkt",
    tyre: "Reifen",
    original_tyre: "Reifen vorher",
    axle_ratio: "Achsübersetzung",
    original_axle_ratio: "Achsübersetzung vorher",
    gear_ratios: "Gänge, erster bis höchster",
    transfer_ratios: "Verteilergetriebe, Straßengang zuerst",
    peak_torque: "Höchstes Drehmoment",
    peak_power: "Höchste Leistung",
    peak_power_speed: "bei",
    idle_speed: "Leerlaufdrehzahl",
    redline_speed: "Höchstdrehzahl",
    vehicle_mass: "Masse im Fahrbetrieb",
    altitude: "Höhe über dem Meer",
    cruise_speed: "Reisegeschwindigkeit",
    target_crawl_ratio: "Gewünschte Kriechübersetzung",
    hold_grade_percent: "Steigung im höchsten Gang",
    units: "Einheiten",
    us: "mph, lb",
    metric: "km/h, kg",
    axle: "Achse",
    gears: "Gänge",
    low: "Untersetzung",
    engine: "Motor",
    mass: "Masse und Ort",
    targets: "Ziele",
    none: "nicht angegeben",
    close: "Schließen",
    calculate: "Berechnen",
    asking: "Wird berechnet …",
    stop: "Halt",
    check: "prüfen",
    unknown: "nicht bekannt",
    clear: "nichts gefunden",
    needs: "braucht",
    add: "Ergänzen",
    feel: "Gefühl",
    road: "Straße",
    climb: "Steigung",
    crawl: "Kriechen",
    downhill: "Gefälle",
    strength: "Festigkeit",
    load: "Last",
    clearance: "Bodenfreiheit",
    speedometer: "Tacho",
    driveline: "Antriebsstrang",
    ruler: "Achsübersetzung",
    met: "alle Ziele erfüllt von",
    to: "bis",
    unmet: "keine Übersetzung erfüllt alle Ziele",
    more: "oder mehr",
    less: "oder weniger",
    fitted: "eingebaut",
    original: "vorher",
    restoring: "wie vorher",
    all: "Alle Werte mit ihren Quellen",
    careful: "Schätzwerte zum Vergleichen, keine Freigabe. Es entscheiden die Hersteller von Achse, Getriebe und Reifen, das " +
      "Recht vor Ort und ein Sachverständiger. Lenkung, Bremsen und Antrieb nach dem Umbau neu prüfen.",
    wrong: "Bitte prüfen",
    use: "nimm",
    unreachable: "Der Dienst antwortet nicht. Gezeigt wird die Antwort vor der Änderung.",
  },
};

/** Fields by the chip that opens them; a chip shows the first, as it was and is. */
const GROUPS = {
  tyre: ["tyre", "original_tyre"],
  axle: ["axle_ratio", "original_axle_ratio"],
  gears: ["gear_ratios"],
  low: ["transfer_ratios"],
  engine: ["peak_power", "peak_power_speed", "peak_torque", "idle_speed", "redline_speed"],
  mass: ["vehicle_mass", "altitude"],
  targets: ["cruise_speed", "target_crawl_ratio", "hold_grade_percent"],
};
const FIELDS = Object.values(GROUPS).flat();
const LISTS = ["gear_ratios", "transfer_ratios"];

/** Questions by the row that they stand in; the first says its sentence. Any other has a row of its own. */
const ROWS = {
  feel: ["final-drive", "regear"],
  road: ["road-speed", "acceleration", "fuel"],
  climb: ["cruise"],
  crawl: ["crawl"],
  downhill: ["descent", "braking"],
  strength: ["axle-check", "ring-gear-load"],
  load: ["axle-loads", "tyre"],
  clearance: ["clearance"],
  speedometer: ["speedometer"],
  driveline: ["driveline", "axle-match"],
};
const GRAVEST = ["stop", "check", "needs", "unknown", "clear"];
const LEVELS = ["stop", "check", "note"];

/** US unit, metric unit, and how many of the second are one of the first. */
const UNITS = {
  vehicle_mass: ["lb", "kg", 0.45359237],
  peak_torque: ["lb-ft", "N m", 1.3558179483314004],
  peak_power: ["hp", "kW", 0.7456998715822702],
  cruise_speed: ["mph", "km/h", 1.609344],
  altitude: ["ft", "m", 0.3048],
  peak_power_speed: ["rpm", "rpm", 1],
  idle_speed: ["rpm", "rpm", 1],
  redline_speed: ["rpm", "rpm", 1],
  hold_grade_percent: ["%", "%", 1],
};

const SHAPES = {
  stop: "M5 1h6l4 4v6l-4 4H5l-4-4V5z",
  check: "M8 2l6.5 12h-13z",
  clear: "M14 8a6 6 0 1 1-12 0a6 6 0 1 1 12 0",
  unknown: "M2 8h3M7 8h2M11 8h3",
  needs: "M8 2v12M2 8h12",
};

const SHEET = new CSSStyleSheet();
SHEET.replaceSync(`
:host { display: block; container-type: inline-size;
  --ink: var(--gearing-ink, #1c2321); --paper: var(--gearing-paper, #fffdf8); --line: var(--gearing-line, #c9c4b4);
  --soft: var(--gearing-soft, #55605a); --mark: var(--gearing-mark, #8a3a12); --link: var(--gearing-link, #0b5a6e);
  --good: var(--gearing-good, #2c5f45); --warn: var(--gearing-warn, #7a5600); --bad: var(--gearing-bad, #9a2d12);
  --tint: var(--gearing-tint, #cfded6);
  font: 1rem/1.4 var(--gearing-font, system-ui, sans-serif); color: var(--ink); }
@supports (color: light-dark(red, red)) { :host {
  --ink: var(--gearing-ink, light-dark(#1c2321, #e9e5da)); --paper: var(--gearing-paper, light-dark(#fffdf8, #202625));
  --line: var(--gearing-line, light-dark(#c9c4b4, #4a5552)); --soft: var(--gearing-soft, light-dark(#55605a, #aab4af));
  --mark: var(--gearing-mark, light-dark(#8a3a12, #f2a065)); --link: var(--gearing-link, light-dark(#0b5a6e, #82c8da));
  --good: var(--gearing-good, light-dark(#2c5f45, #8fd0ac)); --warn: var(--gearing-warn, light-dark(#7a5600, #e9c46a));
  --bad: var(--gearing-bad, light-dark(#9a2d12, #ff9d7c)); --tint: var(--gearing-tint, light-dark(#cfded6, #33443d)); } }
:host([hidden]), [hidden] { display: none !important; }
* { box-sizing: border-box; }
section { background: var(--paper); border: 1px solid var(--line); border-radius: var(--gearing-radius, .5rem); overflow: hidden; }
p, ul, figure { margin: 0; } ul { list-style: none; padding: 0; }
.strip { display: flex; gap: .4rem; overflow-x: auto; padding: .5rem .8rem; border-bottom: 2px solid var(--line); }
@container (min-width: 46rem) { .strip { flex-wrap: wrap; } }
button, input, select { font: inherit; color: inherit; min-height: 2.75rem; border-radius: .35rem; border: 1px solid var(--soft); background: var(--paper); }
button { cursor: pointer; padding: .15rem .65rem; }
.chip { display: grid; align-content: center; text-align: left; line-height: 1.2; white-space: nowrap; }
.chip span { font-size: .78rem; color: var(--soft); } .chip i { font-style: normal; color: var(--soft); }
.chip.none { border-style: dashed; } .chip.wrong { border: 2px solid var(--bad); } .chip[aria-expanded=true] { background: var(--tint); color: var(--ink); }
.chip[aria-expanded=true] span, .chip[aria-expanded=true] i { color: inherit; }
.go { font-weight: 600; color: var(--paper); background: var(--mark); border-color: transparent; padding: .35rem 1.2rem; }
form { padding: .7rem .8rem; border-bottom: 1px solid var(--line); }
fieldset { border: 0; margin: 0; padding: 0; display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 13rem), 1fr)); gap: .6rem .9rem; align-items: end; }
legend { font-weight: 600; padding: 0; margin-bottom: .4rem; }
label { display: grid; gap: .15rem; font-size: .9rem; } label small { color: var(--soft); } label.wide { grid-column: 1 / -1; }
input, select { font-size: 1rem; width: 100%; min-width: 0; padding: .35rem .55rem; } option { color: var(--ink); background: var(--paper); }
[aria-invalid=true] { border: 2px solid var(--bad); }
.alert { color: var(--bad); font-weight: 500; padding: .6rem .8rem; display: grid; gap: .4rem; justify-items: start; } .alert:empty { display: none; }
.body { padding: .8rem; display: grid; gap: .8rem 1.2rem; align-items: start; }
@container (min-width: 52rem) { .body { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); } .head, .foot { grid-column: 1 / -1; } }
.stale { color: var(--soft); --ink: var(--soft); --mark: var(--soft); --link: var(--soft); --good: var(--soft); --warn: var(--soft); --bad: var(--soft); }
.head { font: 600 1.15rem/1.3 var(--gearing-heading-font, "Iowan Old Style", "Palatino Linotype", P052, Georgia, serif); }
.head b { color: var(--mark); font-size: 1.6em; line-height: 1; }
.rows { border: 1px solid var(--line); border-radius: .35rem; } .rows li + li { border-top: 1px solid var(--line); }
.row { display: grid; grid-template-columns: 6.6rem minmax(0, 1fr); gap: 0 .7rem; padding: .45rem .7rem; min-height: 2.75rem; }
summary { cursor: pointer; list-style: none; } summary::-webkit-details-marker { display: none; } summary .name::after { content: " ▸"; } [open] > summary .name::after { content: " ▾"; }
.verdict { grid-row: span 2; font-weight: 600; font-size: .9rem; display: flex; gap: .35rem; align-items: baseline; }
.verdict svg { width: .95em; height: .95em; flex: none; fill: none; stroke: currentColor; stroke-width: 1.8; transform: translateY(.1em); } .stop svg { fill: currentColor; }
.clear .verdict { color: var(--good); } .check .verdict { color: var(--warn); } .stop .verdict { color: var(--bad); } .name { font-size: .82rem; color: var(--soft); }
.more { padding: .7rem; min-height: 2.75rem; } .inside { padding: 0 .7rem .6rem; font-size: .92rem; display: grid; gap: .4rem; } .inside .lead { font-weight: 600; } .pages { display: flex; flex-wrap: wrap; gap: 0 1.2rem; }
.link { color: var(--link); display: inline-flex; align-items: center; min-height: 2.75rem; background: none; border: 0; padding: 0; text-decoration: underline; text-align: left; }
.foot, .legend { font-size: .88rem; color: var(--soft); }
.ruler { border: 1px solid var(--line); border-radius: .35rem; padding: .6rem .7rem; } figcaption { font-weight: 600; }
.ruler svg { display: block; width: 100%; height: auto; touch-action: pan-y; cursor: pointer; } .ruler text { font-size: 13px; fill: var(--ink); } .ruler text.mild { fill: var(--soft); }
.bar { fill: var(--tint); } .window { fill: none; stroke: var(--good); stroke-width: 2; stroke-dasharray: 6 4; } .tick { stroke: var(--soft); stroke-width: 1.5; }
.handle { fill: var(--mark); stroke: var(--paper); stroke-width: 2; } .was { fill: var(--paper); stroke: var(--ink); stroke-width: 2; } .ring { fill: none; stroke: var(--link); stroke-width: 2; }
.status { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
:focus-visible { outline: 3px solid var(--link); outline-offset: 2px; } summary:focus-visible, svg:focus-visible { outline-offset: -3px; }
@media (forced-colors: active) { .stale { color: GrayText; } .bar { fill: none; stroke: CanvasText; } .handle { fill: Highlight; } .go { border-color: ButtonText; } }
`);

const DRAWN = new Set(["svg", "path", "rect", "circle", "line", "text"]);

/** An element with attributes and children; text is never read as markup. */
const made = (tag, attributes = {}, ...children) => {
  const node = DRAWN.has(tag) ? document.createElementNS("http://www.w3.org/2000/svg", tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
};

const dashed = (field) => field.replaceAll("_", "-");
const spaced = (text) => String(text).replaceAll("_", " ");
const isTyre = (field) => field.endsWith("tyre");

/** Text with decimal points in the notation of a language with decimal commas, or the other way round. */
const swapped = (field, text, comma) => {
  if (isTyre(field)) return text;
  return comma ? text.replaceAll(",", ";").replaceAll(".", ",") : text.replaceAll(",", ".").replaceAll(";", ",");
};

/** A number as it is typed, or NaN; tooth counts as 41/10 too. */
const numberOf = (text) => {
  const [, one, other] = /^\s*(\d+(?:[.,]\d+)?)(?:\s*\/\s*(\d+))?\s*$/.exec(text ?? "") ?? [];
  return one === undefined ? NaN : Number(one.replace(",", ".")) / Number(other ?? 1);
};

const NUMBER = /^-?\d+([.,]\d+)?(\s*\/\s*\d+|\s*[a-z%°"'].*)?$/i;
const SIZE = /([rbd-]\s*\d{2}(\.5)?([\s(a-z].*)?|\d\s*("|''|in|inch|inches|mm|cm|m|ft))$/i;

/** Tell whether what is typed can be a whole value: no size without its rim, no number that ends in a mark. */
const isComplete = (field, text, comma) => {
  if (!text) return true;
  if (isTyre(field)) return SIZE.test(text);
  const items = LISTS.includes(field) ? text.split(comma ? ";" : /[,;]/) : [text];
  return items.every((item) => NUMBER.test(item.trim()));
};

class GearingCard extends HTMLElement {
  static observedAttributes = ["lang", "units", "service", "build", ...FIELDS.map(dashed)];

  #values = new Map(); // what was typed for each field: text, its system of units and its decimal mark
  #units = "";
  #language = "en";
  #opened = "";
  #nodes = null;
  #inputs = {};
  #sheet = null; // the last answer
  #pending = false;
  #flight = null;
  #timer = 0;
  #room = new ResizeObserver(() => this.#drawRuler());
  #width = 0;
  #pairs = [];
  #pairAt = () => 0;

  /** Called instead of the other two where an element is moved in one step: nothing changes. */
  connectedMoveCallback() {}

  connectedCallback() {
    const language = this.#languageOfPage();
    if (!this.#nodes || language !== this.#language) this.#draw(language);
    this.#room.observe(this.#nodes.ruler);
    if (!this.#sheet || this.#pending) this.#ask();
  }

  disconnectedCallback() {
    this.#room.disconnect();
    clearTimeout(this.#timer);
    this.#flight?.abort();
  }

  attributeChangedCallback(name, old, now) {
    if (old === now || !this.#nodes) return;
    const field = name.replaceAll("-", "_");
    if (FIELDS.includes(field)) this.#setFromAttribute(field);
    if (name === "units") this.#units = this.#unitsOfPage();
    this.#draw(this.#languageOfPage());
    if (this.isConnected) this.#later(STEP);
  }

  /** The fields as they are asked, in the notation of the page's language. */
  get build() {
    const filled = FIELDS.map((field) => [field, this.#shown(field)]);
    const more = new URLSearchParams(this.getAttribute("build") ?? "");
    return Object.fromEntries([...[...more].map(([field, text]) => [field, this.#comma ? swapped(field, text, true) : text]),
      ...filled].filter(([, text]) => text));
  }

  #languageOfPage() {
    const text = this.closest("[lang]")?.getAttribute("lang") || "en";
    try {
      return Intl.getCanonicalLocales(text)[0] ?? "en";
    } catch {
      return "en"; // the attribute may hold anything
    }
  }

  #unitsOfPage() {
    const asked = this.getAttribute("units");
    if (asked === "us" || asked === "metric") return asked;
    return /^en(-(us|gb|pr|lr))?$/i.test(this.#language) ? "us" : "metric";
  }

  get #words() {
    return WORDS[this.#language.split("-")[0].toLowerCase()] ?? WORDS.en;
  }

  get #comma() {
    return (1.5).toLocaleString(this.#language, { numberingSystem: "latn" }).includes(",");
  }

  #number(value, options = { maximumSignificantDigits: 4 }) {
    return value.toLocaleString(this.#language, { numberingSystem: "latn", ...options });
  }

  /** Attributes have decimal points, and US units unless they say metric. */
  #setFromAttribute(field) {
    const text = this.getAttribute(dashed(field))?.trim() ?? "";
    this.#values.set(field, { text, system: this.getAttribute("units") === "metric" ? "metric" : "us", comma: false });
  }

  /** What was typed, in the units and the notation that are shown now. */
  #shown(field) {
    const { text, system, comma } = this.#values.get(field) ?? { text: "" };
    if (!text) return "";
    const value = numberOf(text);
    const factor = UNITS[field]?.[2] ?? 1;
    if (system !== this.#units && factor !== 1 && !Number.isNaN(value)) {
      const converted = this.#units === "metric" ? value * factor : value / factor;
      return String(Number(converted.toPrecision(5))).replace(".", this.#comma ? "," : ".");
    }
    return comma === this.#comma ? text : swapped(field, text, this.#comma);
  }

  #draw(language) {
    this.#language = language;
    if (!this.#nodes) for (const field of FIELDS) this.#setFromAttribute(field);
    this.#units ||= this.#unitsOfPage();
    const root = this.shadowRoot ?? this.attachShadow({ mode: "open" });
    root.adoptedStyleSheets = [SHEET];
    const words = this.#words;
    const nodes = {
      strip: made("ul", { class: "strip", part: "strip" }),
      form: made("form", { part: "form", novalidate: "", hidden: "", id: "build" }, ...this.#fieldsets()),
      alert: made("div", { class: "alert", part: "alert", role: "alert", id: "alert" }),
      status: made("p", { class: "status", role: "status" }),
      head: made("p", { class: "head", part: "headline" }),
      rows: made("ul", { class: "rows", part: "rows" }),
      ruler: made("figure", { class: "ruler", part: "ruler", hidden: "" }),
      foot: made("div", { class: "foot", part: "notes" }, made("p", {}, words.careful)),
    };
    nodes.body = made("div", { class: "body" }, nodes.head, nodes.rows, nodes.ruler, nodes.foot);
    this.#nodes = nodes;
    nodes.form.addEventListener("input", (event) => this.#typed(event.target));
    nodes.form.addEventListener("change", () => { if (this.#pending) this.#later(0); });
    nodes.form.addEventListener("submit", (event) => { event.preventDefault(); this.#ask(); });
    nodes.form.addEventListener("keydown", (event) => { if (event.key === "Escape") this.#open(""); });
    this.#listenToRuler(nodes.ruler);
    root.replaceChildren(made("section", { part: "card", "aria-label": words.title, lang: words === WORDS.de ? "de" : "en" }, nodes.strip, nodes.form, nodes.alert, nodes.body, nodes.status));
    this.#room.disconnect();
    this.#room.observe(nodes.ruler);
    this.#drawStrip();
    if (this.#sheet) this.#show();
    if (this.#opened) this.#open(this.#opened);
  }

  #fieldsets() {
    const words = this.#words;
    const parts = Object.entries(GROUPS).map(([group, fields]) => made("fieldset", { name: group, hidden: "" },
      made("legend", {}, words[group]), ...fields.map((field) => this.#field(field)), this.#buttons()));
    const choice = made("select", { name: "units", part: "input" },
      ...["us", "metric"].map((system) => made("option", { value: system, ...(system === this.#units && { selected: "" }) }, words[system])));
    return [...parts, made("fieldset", { name: "units", hidden: "" }, made("legend", {}, words.units),
      made("label", { part: "label" }, words.units, choice), this.#buttons())];
  }

  #field(field) {
    const unit = UNITS[field]?.[this.#units === "metric" ? 1 : 0];
    const input = made("input", { name: field, part: "input", value: this.#shown(field), autocomplete: "off", spellcheck: "false",
      inputmode: isTyre(field) || LISTS.includes(field) ? "text" : "decimal" });
    this.#inputs[field] = input;
    const label = made("span", {}, this.#words[field], ...(unit ? [" ", made("small", {}, unit)] : []));
    return made("label", { part: "label", ...(LISTS.includes(field) && { class: "wide" }) }, label, input);
  }

  #buttons() {
    const close = made("button", { type: "button", part: "button" }, this.#words.close);
    close.addEventListener("click", () => this.#open(""));
    return made("div", {}, made("button", { class: "go", part: "button", type: "submit" }, this.#words.calculate), " ", close);
  }

  #drawStrip() {
    const words = this.#words;
    const chips = Object.entries(GROUPS).map(([group, fields]) => {
      const [is, was] = [this.#shown(fields[0]), fields[1]?.startsWith("original_") ? this.#shown(fields[1]) : ""];
      const given = fields.filter((field) => this.#shown(field));
      const chip = [is || !given.length ? this.#inShort(fields[0]) || words.none : `${words[given[0]]} ${this.#inShort(given[0])}`];
      if (was && was !== is) chip.unshift(made("i", {}, `${was} → `));
      return this.#chip(group, given.length ? "chip" : "chip none", chip);
    });
    this.#nodes.strip.replaceChildren(...chips, this.#chip("units", "chip", [words[this.#units]]));
  }

  /** The value of a field with its unit; of a long list its ends. */
  #inShort(field) {
    const text = this.#shown(field);
    const unit = UNITS[field]?.[this.#units === "metric" ? 1 : 0];
    if (unit && !Number.isNaN(numberOf(text))) return `${text} ${unit}`;
    const items = text.split(this.#comma ? ";" : ",");
    return LISTS.includes(field) && items.length > 3 ? `${items[0].trim()} … ${items.at(-1).trim()}` : text;
  }

  #chip(group, kind, text) {
    const button = made("button", { type: "button", class: kind, part: "chip", "data-group": group, "aria-controls": "build",
      "aria-expanded": String(group === this.#opened) }, made("span", {}, this.#words[group]), made("b", {}, ...text));
    button.addEventListener("click", () => this.#open(this.#opened === group ? "" : group, true));
    return made("li", {}, button);
  }

  #open(group, enter = false) {
    const before = this.#opened;
    this.#opened = group;
    this.#nodes.form.hidden = !group;
    for (const part of this.#nodes.form.querySelectorAll("fieldset")) part.hidden = part.getAttribute("name") !== group;
    for (const chip of this.#nodes.strip.querySelectorAll("button")) chip.setAttribute("aria-expanded", String(chip.dataset.group === group));
    if (enter && group) this.#nodes.form.querySelector("fieldset:not([hidden]) :is(input, select)").focus();
    if (!group && before) this.#nodes.strip.querySelector(`[data-group="${before}"]`)?.focus();
  }

  #typed(input) {
    if (input.name === "units") return this.#changeUnits(input.value);
    const text = input.value.trim();
    this.#values.set(input.name, { text, system: this.#units, comma: this.#comma });
    this.#drawStrip();
    this.#nodes.body.classList.add("stale");
    this.#flight?.abort();
    this.#pending = true;
    clearTimeout(this.#timer);
    if (isComplete(input.name, text, this.#comma)) this.#later(LATER);
    return undefined;
  }

  /** Convert what was typed; it still means the same. */
  #changeUnits(system) {
    this.#units = system;
    this.#draw(this.#language);
    this.#nodes.form.querySelector("select").focus();
    this.#later(0);
  }

  #later(wait) {
    this.#pending = true;
    this.#nodes.body.classList.add("stale");
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), wait);
  }

  #address(path, more = {}) {
    const base = this.getAttribute("service");
    const address = new URL(path, base ? new URL(base.replace(/\/?$/, "/"), document.baseURI) : HOME);
    const options = { units: this.#units, ...(this.#comma && { decimal: "comma" }), ...more };
    for (const [name, value] of Object.entries({ ...this.build, ...options })) address.searchParams.set(name, value);
    return address;
  }

  async #ask() {
    clearTimeout(this.#timer);
    this.#flight?.abort();
    const { signal } = (this.#flight = new AbortController());
    const { build } = this;
    if (!this.isConnected) return undefined; // asked once it is there again
    if (!build.tyre && !build.front_tyre) return this.#askForTyre();
    this.#pending = true;
    this.#nodes.status.textContent = this.#words.asking;
    this.#nodes.body.classList.add("stale");
    let problem = null;
    try {
      const address = this.#address("v1/build-sheet.json", { detail: "brief", windows: "1" });
      const response = await fetch(address, { signal, credentials: "omit" });
      const answer = await response.json();
      if (response.ok) this.#sheet = answer;
      else problem = answer;
    } catch {
      problem = {};
    }
    if (signal.aborted) return undefined;
    this.#pending = false;
    this.#tellErrors(problem);
    if (!problem) this.#show();
    else this.#nodes.status.textContent = "";
    const [name, detail] = problem
      ? ["gearing-error", { build, problems: [problem.errors ? problem : null] }]
      : ["gearing-answer", { build, answers: { ...this.#sheet.parts, "build-sheet": this.#sheet } }];
    this.dispatchEvent(new CustomEvent(name, { bubbles: true, composed: true, detail }));
    return undefined;
  }

  /** Without a tyre there is nothing to ask yet. */
  #askForTyre() {
    this.#tellErrors(null);
    this.#nodes.status.textContent = "";
    if (!this.#sheet) this.#nodes.head.textContent = `${this.#words.needs}: ${this.#words.tyre}`;
  }

  #tellErrors(problem) {
    const words = this.#words;
    const errors = new Map((problem?.errors ?? []).map((error) => [String(error.pointer ?? "").slice(1), error]));
    for (const [field, input] of Object.entries(this.#inputs)) {
      for (const [name, value] of [["aria-invalid", "true"], ["aria-describedby", "alert"]]) {
        if (errors.has(field)) input.setAttribute(name, value);
        else input.removeAttribute(name);
      }
    }
    for (const chip of this.#nodes.strip.querySelectorAll("button")) {
      chip.classList.toggle("wrong", (GROUPS[chip.dataset.group] ?? []).some((field) => errors.has(field)));
    }
    const lines = [...errors].map(([field, { detail, use }]) => made("p", {}, `${words.wrong}: ${words[field] ?? ""} `,
      made("span", { lang: "en" }, spaced(detail)), ...(use === undefined || !this.#inputs[field] ? [] : [" ", this.#repair(field, String(use))])));
    if (problem && !lines.length) lines.push(problem.detail ? made("p", { lang: "en" }, problem.detail) : made("p", {}, words.unreachable));
    this.#nodes.alert.replaceChildren(...lines);
  }

  #repair(field, value) {
    const button = made("button", { type: "button", part: "button" }, `${this.#words.use} ${value}`);
    button.addEventListener("click", () => this.#set(field, value, 0));
    return button;
  }

  /** Put a value into a field, as if it had been typed. */
  #set(field, text, wait) {
    this.#values.set(field, { text, system: this.#units, comma: this.#comma });
    this.#inputs[field].value = text;
    this.#drawStrip();
    this.#later(wait);
  }

  #show() {
    const { head, rows, foot, status, body } = this.#nodes;
    const sheet = this.#sheet;
    body.classList.toggle("stale", this.#pending);
    const [, before, number, after] = /^(.*?)((?<![\w/.])\d[\d,]*(?:\.\d+)?(?![\w/]))?((?<=\d).*)?$/s.exec(spaced(sheet.summary));
    head.setAttribute("lang", "en");
    if (number) head.replaceChildren(before, made("b", {}, number), after ?? "");
    else head.textContent = spaced(sheet.summary);
    status.textContent = sheet.summary;
    const open = new Set([...rows.querySelectorAll("details[open]")].map((row) => row.dataset.row));
    const focus = this.shadowRoot.activeElement?.closest("[data-row]")?.dataset.row;
    rows.replaceChildren(...this.#rowsOf(sheet).map((row) => this.#row(row, open.has(row.name))));
    if (focus) rows.querySelector(`[data-row="${CSS.escape(focus)}"] :is(summary, button)`)?.focus({ preventScroll: true });
    const all = this.#address("v1/build-sheet.html").href;
    foot.replaceChildren(made("p", {}, made("a", { href: all, part: "link", class: "link" }, this.#words.all)), made("p", {}, this.#words.careful));
    this.#width = 0;
    this.#drawRuler();
  }

  /** Each row with its questions, and the one whose verdict and sentence it shows: the first, or one that is graver. */
  #rowsOf({ parts, missing = {} }) {
    const known = new Set([...Object.keys(parts), ...Object.keys(missing)]);
    const groups = { ...ROWS };
    for (const name of known) if (!Object.values(ROWS).flat().includes(name)) groups[name] = [name];
    return Object.entries(groups).flatMap(([name, questions]) => {
      const listed = questions.filter((question) => known.has(question))
        .map((question) => (parts[question] ? { question, ...parts[question] } : { question, verdict: "needs", fields: missing[question] }));
      const told = listed.filter((part, place) => !place || ["stop", "check"].includes(part.verdict));
      const grave = (part) => GRAVEST.indexOf(part.verdict);
      return told.length ? [{ name, listed, gravest: told.reduce((one, other) => (grave(other) < grave(one) ? other : one)) }] : [];
    });
  }

  #row({ name, listed, gravest }, open) {
    const words = this.#words;
    const { verdict } = gravest;
    const shape = made("svg", { viewBox: "0 0 16 16", "aria-hidden": "true" }, made("path", { d: SHAPES[verdict] ?? SHAPES.unknown }));
    const told = [made("span", { class: "verdict", part: "verdict" }, shape, words[verdict] ?? verdict),
      made("span", { class: "name" }, words[name] ?? name.replaceAll("-", " ")), this.#sentence(gravest)];
    const answered = listed.filter((part) => part.summary);
    const item = (...children) => made("li", { class: verdict, part: "row", "data-row": name }, ...children);
    const details = (opens) => made("details", { "data-row": name, ...(open && { open: "" }) }, opens,
      made("div", { class: "inside", lang: "en" }, ...this.#inside(answered, gravest)));
    if (!answered.length) return item(made("div", { class: "row" }, ...told));
    if (answered.includes(gravest)) return item(details(made("summary", { class: "row" }, ...told)));
    const others = answered.map(({ question }) => question.replaceAll("-", " ")).join(", ");
    return item(made("div", { class: "row" }, ...told), details(made("summary", { class: "more", lang: "en" }, made("span", { class: "name" }, others))));
  }

  /** What a row says; where it needs a field that has a chip, a button that opens the chip. */
  #sentence({ summary, fields }) {
    if (summary) return made("span", { lang: "en" }, spaced(summary));
    const field = fields.find((name) => FIELDS.includes(name));
    const names = fields.map((name) => this.#words[name] ?? spaced(name)).join(", ");
    if (!field) return made("span", { lang: "en" }, names);
    const group = Object.keys(GROUPS).find((name) => GROUPS[name].includes(field));
    const button = made("button", { type: "button", class: "link" }, `${this.#words.add}: ${names}`);
    button.addEventListener("click", () => { this.#open(group, true); this.#inputs[field].focus(); });
    return button;
  }

  /** What the other questions of a row say, the cautions of all, each once and the gravest first, and their pages. */
  #inside(parts, gravest) {
    const cautions = [...new Map(parts.flatMap((part) => part.cautions).map((caution) => [caution.text, caution])).values()]
      .sort((one, other) => LEVELS.indexOf(one.level) - LEVELS.indexOf(other.level));
    const link = ({ question }) => made("a", { class: "link", part: "link", href: this.#address(`v1/${question}.html`).href }, question.replaceAll("-", " "));
    return [...parts.filter((part) => part !== gravest).map(({ summary }) => made("p", { class: "lead" }, spaced(summary))),
      ...cautions.map(({ level, text }) => made("p", {}, level === "note" ? "" : made("b", {}, `${this.#words[level] ?? level}: `), spaced(text))),
      ...(parts.length ? [made("p", { class: "pages" }, ...parts.map(link))] : [])];
  }

  /** The axle ratios that can be bought, the stretch in which each target is met, and the one that is fitted. */
  #drawRuler() {
    const { ruler } = this.#nodes;
    const regear = this.#sheet?.parts.regear;
    const width = Math.round(Math.min(Math.max(ruler.clientWidth - 24, 240), 640));
    ruler.hidden = !regear?.windows;
    if (ruler.hidden || (width === this.#width && ruler.firstChild)) return;
    this.#width = width;
    const focused = this.shadowRoot.activeElement?.getAttribute("role") === "slider";
    const { svg, legend } = this.#ruler(regear, width);
    ruler.replaceChildren(made("figcaption", {}, `${this.#words.ruler}: ${this.#window(regear.windows)}`), svg, legend);
    if (focused) svg.focus({ preventScroll: true });
  }

  #ratio(value) {
    return this.#number(value, { minimumFractionDigits: 2, maximumFractionDigits: 2 });
  }

  #window({ all_met: met, targets }) {
    const words = this.#words;
    if (!targets.some(({ judged }) => judged)) return words.none;
    return met.length ? met.map(([low, high]) => `${words.met} ${this.#ratio(low)} ${words.to} ${this.#ratio(high)}`).join(", ") : words.unmet;
  }

  #ruler({ windows, table, result }, width) {
    const words = this.#words;
    const places = Object.fromEntries(table.columns.map((name, place) => [name, place]));
    const pairs = table.rows.map((row) => row[places.axle_ratio]).sort((one, other) => one - other);
    const marks = { fitted: numberOf(this.#shown("axle_ratio")), original: numberOf(this.#shown("original_axle_ratio")), restoring: result.restoring_ratio ?? NaN };
    const known = Object.values(marks).filter((value) => value > 0);
    const [low, high] = [Math.min(...pairs, ...known), Math.max(...pairs, ...known)];
    const edge = 18;
    const x = (ratio) => edge + ((width - 2 * edge) * (Math.min(Math.max(ratio, low), high) - low)) / (high - low || 1);
    const targets = windows.targets.filter(({ judged }) => judged);
    const axis = targets.length * 36 + 20;
    const nodes = targets.flatMap((target, place) => [
      made("text", { x: 0, y: place * 36 + 14, lang: "en" }, this.#target(target)),
      ...target.met.map(([from, to]) => made("rect", { class: "bar", x: x(from), y: place * 36 + 20, width: Math.max(x(to) - x(from), 1), height: 9, rx: 2 })),
    ]);
    const met = targets.length ? windows.all_met : [];
    nodes.push(...met.map(([from, to]) => made("rect", { class: "window", x: x(from), y: axis - 11, width: Math.max(x(to) - x(from), 2), height: 22, rx: 3 })),
      made("line", { class: "tick", x1: 0, x2: width, y1: axis, y2: axis }), ...this.#ticks(pairs, x, axis));
    if (marks.original > 0) nodes.push(made("circle", { class: "was", cx: x(marks.original), cy: axis, r: 6 }));
    if (marks.fitted > 0) nodes.push(made("circle", { class: "handle", cx: x(marks.fitted), cy: axis, r: 9 }));
    if (marks.restoring > 0) nodes.push(made("circle", { class: "ring", cx: x(marks.restoring), cy: axis, r: 12 }));
    const svg = made("svg", { viewBox: `0 0 ${width} ${axis + 34}`, role: "slider", tabindex: "0", "aria-label": words.ruler,
      "aria-valuemin": low, "aria-valuemax": high, "aria-valuenow": marks.fitted > 0 ? marks.fitted : low,
      "aria-valuetext": `${marks.fitted > 0 ? this.#ratio(marks.fitted) : words.none}; ${this.#window(windows)}` }, ...nodes);
    this.#pairs = pairs;
    this.#pairAt = (at) => {
      const box = svg.getBoundingClientRect();
      const place = ((at - box.left) * width) / box.width;
      return pairs.reduce((one, other) => (Math.abs(x(other) - place) < Math.abs(x(one) - place) ? other : one));
    };
    const named = Object.entries({ "●": "fitted", "○": "original", "◎": "restoring" }).filter(([, name]) => marks[name] > 0)
      .map(([sign, name]) => `${sign} ${words[name]} ${this.#ratio(marks[name])}`);
    return { svg, legend: made("p", { class: "legend" }, named.join("   ")) };
  }

  #target({ target, unit, least, most }) {
    const words = this.#words;
    const range = least === null ? `${this.#number(most)} ${words.less}` : most === null ? `${this.#number(least)} ${words.more}` : `${this.#number(least)} ${words.to} ${this.#number(most)}`;
    return `${target} ${range} ${unit}`.trim();
  }

  /** A tick for each pair; labels where they have room. */
  #ticks(pairs, x, axis) {
    let free = 0;
    return pairs.flatMap((ratio) => {
      const tick = made("line", { class: "tick", x1: x(ratio), x2: x(ratio), y1: axis - 6, y2: axis + 6 });
      if (x(ratio) < free) return [tick];
      free = x(ratio) + 40;
      return [tick, made("text", { class: "mild", x: x(ratio), y: axis + 28, "text-anchor": "middle" }, this.#ratio(ratio))];
    });
  }

  /** Arrow keys, drag and tap move the fitted ratio from pair to pair. The figure stays while the drawing in it changes. */
  #listenToRuler(ruler) {
    ruler.addEventListener("keydown", (event) => {
      const fitted = numberOf(this.#shown("axle_ratio"));
      const above = this.#pairs.find((ratio) => !(ratio <= fitted + SAME));
      const below = this.#pairs.findLast((ratio) => ratio < fitted - SAME);
      const keys = { ArrowRight: above, ArrowUp: above, ArrowLeft: below, ArrowDown: below, Home: this.#pairs[0], End: this.#pairs.at(-1) };
      if (!(event.key in keys)) return;
      event.preventDefault();
      this.#fit(keys[event.key]);
    });
    ruler.addEventListener("pointerdown", (event) => {
      if (!event.target.closest("svg")) return;
      ruler.setPointerCapture(event.pointerId);
      this.#fit(this.#pairAt(event.clientX));
    });
    ruler.addEventListener("pointermove", (event) => {
      if (ruler.hasPointerCapture(event.pointerId)) this.#fit(this.#pairAt(event.clientX));
    });
  }

  #fit(ratio) {
    if (!ratio || Math.abs(ratio - numberOf(this.#shown("axle_ratio"))) <= SAME) return;
    this.#set("axle_ratio", ratio.toFixed(2).replace(".", this.#comma ? "," : "."), STEP);
    this.#width = 0;
    this.#drawRuler();
  }
}

if (!customElements.get(NAME)) customElements.define(NAME, GearingCard);

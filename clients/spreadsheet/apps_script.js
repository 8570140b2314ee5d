/**
 * A function for Google Sheets: one question about every row of a range, in one request.
 *
 * In a sheet: Extensions > Apps Script, paste this file, set SERVICE, save. The address must be reachable from
 * the internet, because Google's machines ask it, not yours.
 */

const SERVICE = "https://gearing.example.org";
const MARK = "#ERR ";

/**
 * Asks the gearing service about each row of a range and gives a row of results for each.
 *
 * @param {string} question A question, such as "crawl".
 * @param {string} results The results wanted, such as "crawl_ratio,crawl_speed".
 * @param {Array<Array<*>>} builds A range whose first row has names of fields, such as tyre and axle_ratio.
 * @param {string} [units] "us" (if left out) or "metric".
 * @param {*} [again] Not used: change it to ask again.
 * @return {Array<Array<*>>} The results; where a row is refused, the reason in words.
 * @customfunction
 */
function GEARING(question, results, builds, units, again) {
  if (!Array.isArray(builds) || builds.length < 2) {
    return [[`${MARK}The range needs a row of field names and a row below it.`]];
  }
  const picked = String(results).split(",").map((name) => name.trim());
  const rows = builds.slice(1).map((row) => row.map(plain));
  const filled = rows.map((row) => row.some((value) => value !== ""));
  const asked = rows.filter((_, index) => filled[index]);
  if (asked.length === 0) {
    return rows.map(() => picked.map(() => ""));
  }
  const columns = columnsOf(builds[0], asked);
  const reply = ask(question, { columns, pick: picked.join(","), units: units || "us" });
  if (reply.refused) {
    return [[MARK + reply.refused]];
  }
  const answers = rowsOf(reply, picked, asked.length);
  return filled.map((isFilled) => (isFilled ? answers.shift() : picked.map(() => "")));
}

/** What the service reads of a cell. */
function plain(value) {
  return typeof value === "number" ? value : String(value === null ? "" : value).trim();
}

/** The rows as columns under the names of fields; a column without a name is left out. */
function columnsOf(names, rows) {
  const columns = {};
  names.forEach((name, place) => {
    if (String(name).trim() !== "") {
      columns[String(name).trim()] = rows.map((row) => row[place]);
    }
  });
  return columns;
}

/** The service's reply to one POST, or why there is none. */
function ask(question, body) {
  try {
    const response = UrlFetchApp.fetch(`${SERVICE}/v1/${encodeURIComponent(question)}/batch`, {
      method: "post",
      contentType: "application/json",
      payload: JSON.stringify(body),
      muteHttpExceptions: true,
    });
    const reply = JSON.parse(response.getContentText());
    return response.getResponseCode() === 200 ? reply : { refused: reply.detail || reply.title };
  } catch (error) {
    return { refused: `The service does not answer. ${error.message}` };
  }
}

/** A row of results for each build; in the place of the first, why it was refused. */
function rowsOf(reply, picked, count) {
  const reasons = {};
  reply.errors.forEach((error) => {
    reasons[error.index] = [...(reasons[error.index] || []), error.detail];
  });
  return Array.from({ length: count }, (_, index) =>
    picked.map((name, place) => {
      if (place === 0 && reasons[index]) {
        return MARK + reasons[index].join("; ");
      }
      const value = reply.columns[name][index];
      return value === null ? "" : value;
    }),
  );
}

// Runs the function for Google Sheets outside of Google: {script, arguments} on stdin, {given, requests} on stdout.
// UrlFetchApp is a stand-in that waits for its answer, as the real one does, by asking in a process of its own.
const { spawnSync } = require("node:child_process");
const { readFileSync } = require("node:fs");
const vm = require("node:vm");

const ASKER = `
const [address, options] = JSON.parse(require("node:fs").readFileSync(0));
fetch(address, { method: options.method, headers: { "Content-Type": options.contentType }, body: options.payload })
  .then(async (reply) => process.stdout.write(JSON.stringify({ code: reply.status, text: await reply.text() })));
`;

const told = JSON.parse(readFileSync(0));
let requests = 0;

const UrlFetchApp = {
  fetch(address, options) {
    if (!options.muteHttpExceptions) {
      throw new Error("without muteHttpExceptions a refusal ends the script");
    }
    requests += 1;
    const ran = spawnSync(process.execPath, ["-e", ASKER], { input: JSON.stringify([address, options]) });
    if (ran.status !== 0) {
      throw new Error(`Address unavailable: ${address}`);
    }
    const reply = JSON.parse(ran.stdout);
    return { getResponseCode: () => reply.code, getContentText: () => reply.text };
  },
};

const sandbox = { UrlFetchApp, call: told.arguments };
const given = vm.runInNewContext(`${told.script}\nGEARING(...call);`, sandbox);
process.stdout.write(JSON.stringify({ given, requests }));

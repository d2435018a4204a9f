import assert from "node:assert/strict";
import test from "node:test";

import { Sending, fresh, keyOf, told } from "../../../surveys/client/model/pictures/sending.js";
import { Lost, Problem } from "../../../surveys/client/model/problems.js";

const FILE = { name: "section.tif", size: 10, lastModified: 7 };

/** A service that keeps what it is sent, and loses its connection when told. */
function service({ part_size = 4, digest = "aa", kept = {} } = {}) {
  const state = { rows: new Map(), memory: { ...kept }, parts: [], lose: 0, began: 0, slept: [], refusal: null };
  const row = (id) => ({ id, part_size, upload: null, ...state.rows.get(id) });
  const reached = () => {
    if (state.lose > 0) {
      state.lose -= 1;
      throw new Lost();
    }
  };
  const ways = {
    digest: async () => digest,
    begin: async (values) => {
      reached();
      state.began += 1;
      state.rows.set(`s${state.began}`, { ...values, received: 0 });
      return row(`s${state.began}`);
    },
    ask: async (id) => {
      reached();
      if (!state.rows.has(id)) throw new Problem(404, "not-found", "There is none.");
      return row(id);
    },
    part: async (id, start, end) => {
      reached();
      if (start !== state.rows.get(id).received) throw new Problem(409, "out-of-place", "Not there.");
      state.parts.push([start, end]);
      state.rows.get(id).received = end;
      state.after?.();
      return row(id);
    },
    finish: async (id) => {
      reached();
      if (state.refusal) throw state.refusal;
      return { ...row(id), upload: { id: "u1", name: FILE.name, size: FILE.size, sha256: digest } };
    },
    end: async (id) => state.rows.delete(id),
    sleep: async (milliseconds) => void state.slept.push(milliseconds),
    memory: { get: (key) => state.memory[key] ?? "", put: (key, id) => { state.memory[key] = id; }, drop: (key) => { delete state.memory[key]; } },
  };
  return { state, ways };
}

test("a file is sent in parts, none larger than the service takes, and is an upload then", async () => {
  const { state, ways } = service();
  const one = new Sending(FILE, ways, () => {});
  await one.run();
  assert.deepEqual(state.parts, [[0, 4], [4, 8], [8, 10]]);
  assert.equal(one.state, "done");
  assert.equal(one.upload.id, "u1");
  assert.deepEqual(state.memory, {});
});

test("what was begun before a reload is gone on with, by name, size and digest", async () => {
  const { state, ways } = service({ kept: { [keyOf(FILE, "aa")]: "old" } });
  state.rows.set("old", { received: 8 });
  const one = new Sending(FILE, ways, () => {});
  await one.run();
  assert.deepEqual(state.parts, [[8, 10]]);
  assert.equal(state.began, 0);
  assert.ok(one.resumed);
});

test("another file of that name and size is not taken for it", async () => {
  const { state, ways } = service({ digest: "bb", kept: { [keyOf(FILE, "aa")]: "old" } });
  state.rows.set("old", { received: 8 });
  await new Sending(FILE, ways, () => {}).run();
  assert.equal(state.began, 1);
  assert.deepEqual(state.parts, [[0, 4], [4, 8], [8, 10]]);
});

test("what the service has tidied away is begun anew", async () => {
  const { state, ways } = service({ kept: { [keyOf(FILE, "aa")]: "gone" } });
  const one = new Sending(FILE, ways, () => {});
  await one.run();
  assert.equal(one.state, "done");
  assert.equal(state.began, 1);
});

test("a lost connection costs one part, and it goes on by itself", async () => {
  const { state, ways } = service();
  state.after = () => { if (state.parts.length === 1) state.lose = 2; };
  const seen = [];
  const one = new Sending(FILE, ways, () => seen.push(one.state));
  await one.run();
  assert.equal(one.state, "done");
  assert.ok(seen.includes("lost"));
  assert.equal(state.slept.length, 2);
  assert.deepEqual(state.parts, [[0, 4], [4, 8], [8, 10]]);
});

test("a part that came although its answer was lost is not sent into the wrong place", async () => {
  const { state, ways } = service();
  const part = ways.part;
  let cut = true;
  ways.part = async (id, start, end) => {
    const found = await part(id, start, end);
    if (cut) {
      cut = false;
      throw new Lost();
    }
    return found;
  };
  const one = new Sending(FILE, ways, () => {});
  await one.run();
  assert.deepEqual(state.parts, [[0, 4], [4, 8], [8, 10]]);
  assert.equal(one.state, "done");
});

test("paused it sends nothing more until it is told to go on", async () => {
  const { state, ways } = service();
  const one = new Sending(FILE, ways, () => {});
  state.after = () => one.pause();
  await one.run();
  assert.equal(one.state, "paused");
  assert.deepEqual(state.parts, [[0, 4]]);
  assert.match(told(one), /^Paused: 4 bytes of 10 bytes, 40 %/);
  state.after = () => {};
  await one.run();
  assert.equal(one.state, "done");
});

test("what does not arrive as it was sent is refused in words and can be tried again", async () => {
  const { state, ways } = service();
  state.refusal = new Problem(422, "digest", "What arrived is not what was sent.");
  const one = new Sending(FILE, ways, () => {});
  await one.run();
  assert.equal(told(one), "What arrived is not what was sent.");
  state.refusal = null;
  await one.run();
  assert.equal(one.state, "done");
});

test("given up it is forgotten here and there", async () => {
  const { state, ways } = service();
  const one = new Sending(FILE, ways, () => {});
  state.after = () => one.pause();
  await one.run();
  await one.giveUp();
  assert.equal(state.rows.size, 0);
  assert.deepEqual(state.memory, {});
});

test("what is remembered longer than the service keeps it is forgotten", () => {
  const day = 24 * 60 * 60 * 1000;
  assert.deepEqual(fresh({ a: { id: "1", at: 0 }, b: { id: "2", at: 6 * day } }, 8 * day), { b: { id: "2", at: 6 * day } });
});

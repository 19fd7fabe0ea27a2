import { randomBytes } from "node:crypto";
import { crc32, deflateRawSync, gzipSync, constants as zlib } from "node:zlib";
import { BENCH, CONDITIONS, productOf } from "../../support/facts.js";
import { Answers, type Attack } from "./attack.js";
import { exchange, manyAtOnce, type Sent, send, statusesIn } from "./http-client.js";

const json = { "content-type": "application/json" };
const BOUNDARY = "hostile-boundary";
const form = { "content-type": `multipart/form-data; boundary=${BOUNDARY}` };

function part(name: string, content: string | Buffer, fileName?: string): Buffer {
  const file = fileName === undefined ? "" : `; filename="${fileName}"`;
  const head = `--${BOUNDARY}\r\ncontent-disposition: form-data; name="${name}"${file}\r\n\r\n`;
  return Buffer.concat([Buffer.from(head), Buffer.from(content), Buffer.from("\r\n")]);
}

const formOf = (...parts: readonly Buffer[]) => Buffer.concat([...parts, Buffer.from(`--${BOUNDARY}--\r\n`)]);
/** Without a fault, so that the log beside it is read. */
const RUN = JSON.stringify({
  protocol: "full-load",
  ...CONDITIONS,
  pack: productOf("Bomb"),
  bench: { ...BENCH, label: "Bench" },
});
const check = (log: Buffer, fileName: string): Sent => ({
  method: "POST",
  path: "/v1/checks",
  headers: form,
  body: formOf(part("run", RUN), part("log", log, fileName)),
});

/** Sends each of some requests so many times. */
function each(name: string, requests: () => readonly Sent[], atOnce = 8): Attack {
  return {
    name,
    async attack(base) {
      const answers = new Answers();
      const sent = requests();
      await manyAtOnce(sent.length, atOnce, async (index) =>
        answers.add((await send(base, sent[index] as Sent)).answer),
      );
      return answers.outcome();
    },
  };
}

const HEADER = "Time [s],Voltage [V],Current [A],Temperature [C]\n";
const TOO_LARGE = "413 log-too-large";
const GZIP_HEADER = Buffer.from([0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 0xff]);
/** A last block without content (RFC 1951, 3.2.3 and 3.2.6). */
const LAST_BLOCK = Buffer.from([3, 0]);

/** A text, and after it a piece so many times over, as one member of gzip (RFC 1952, 2.3); each is packed once. */
function repeatedGzip(piece: Buffer, times: number, ahead = ""): Buffer {
  // Their blocks end at a byte and refer to none before them: they may follow each other.
  const packed = (bytes: Buffer) => deflateRawSync(bytes, { finishFlush: zlib.Z_FULL_FLUSH });
  const first = Buffer.from(ahead);
  let sum = crc32(first);
  for (let i = 0; i < times; i++) sum = crc32(piece, sum);
  const end = Buffer.alloc(8);
  end.writeUInt32LE(sum, 0);
  end.writeUInt32LE((first.length + piece.length * times) % 2 ** 32, 4);
  return Buffer.concat([GZIP_HEADER, packed(first), ...Array(times).fill(packed(piece)), LAST_BLOCK, end]);
}

/** Logs that unpack to more than is taken, and to as much as is taken. */
function bombs(mebibytes: readonly number[], times: number): Attack {
  const { name, attack } = each(
    `${times} x logs that unpack to ${mebibytes.join(" and ")} MiB`,
    () => {
      const row = Buffer.from("1.25,16.8,100.5,25.0\n".repeat(50_000));
      const logs = mebibytes.map((size) => {
        const zeros = repeatedGzip(Buffer.alloc(2 ** 20), size);
        const rows = repeatedGzip(row, Math.floor((size * 2 ** 20) / row.length), HEADER);
        return [check(zeros, "log.csv.gz"), check(rows, "log.csv.gz"), check(gzipSync(zeros), "log.gz.gz")];
      });
      return Array.from({ length: times }, () => logs.flat()).flat();
    },
    4,
  );
  return {
    name,
    async attack(base) {
      const { answers } = await attack(base);
      // Else they were refused for something else, and nothing was unpacked.
      return { answers: answers[TOO_LARGE] ? answers : { ...answers, "500 no log was unpacked": 1 } };
    },
  };
}

const manyParts = (parts: number, times: number): Attack =>
  each(`${times} x forms of ${parts} parts`, () => {
    const fields = Array.from({ length: parts }, (_, index) => part(`field-${index}`, "a"));
    const files = Array.from({ length: parts }, (_, index) => part(`file-${index}`, "a", "a.csv"));
    const unending = Buffer.concat([part("run", "{}"), Buffer.from(`--${BOUNDARY}\r\n${"x: y\r\n".repeat(20_000)}`)]);
    const bodies = [formOf(...fields), formOf(...files), unending];
    return Array.from({ length: times }, () => bodies)
      .flat()
      .map((body) => ({
        method: "POST",
        path: "/v1/checks",
        headers: form,
        body,
      }));
  });

const polluted = (times: number): Attack => ({
  name: `${times} x prototypes in JSON`,
  async attack(base) {
    const answers = new Answers();
    const bodies = [
      '{"__proto__":{"role":"administrator","polluted":"yes"}}',
      '{"constructor":{"prototype":{"polluted":"yes"}}}',
      '{"handle":"abcdef","password":"0123456789","__proto__":{"polluted":"yes"}}',
      '{"query":"{__typename}","variables":{"__proto__":{"polluted":"yes"},"constructor":{"prototype":{"polluted":1}}}}',
    ];
    for (let i = 0; i < times; i++) {
      for (const path of ["/v1/sessions", "/v1/accounts", "/v1/administrators", "/graphql"]) {
        for (const body of bodies)
          answers.add((await send(base, { method: "POST", path, headers: json, body })).answer);
      }
    }
    const { body } = await send(base, { path: "/v1/protocols" });
    if (body.includes("polluted")) answers.add("500 the prototype of all objects was changed");
    return answers.outcome();
  },
});

const TRAVERSALS = [
  "/docs/../../../../etc/passwd",
  "/docs/..%2f..%2f..%2f..%2fetc%2fpasswd",
  "/docs/%2e%2e/%2e%2e/%2e%2e/etc/passwd",
  "/docs/..%5c..%5cetc%5cpasswd",
  "/docs/%252e%252e%252fetc%252fpasswd",
  "/docs//etc/passwd",
  "/docs/....//....//etc/passwd",
  "/docs/swagger-ui.css%00.png",
  "/docs/../package.json",
  "/%2e%2e/package.json",
  "/graphql/../../package.json",
  "//etc/passwd",
  "http://localhost/docs/../../etc/passwd",
];

const traversal: Attack = {
  name: "paths that climb out of their folder",
  async attack(base) {
    const answers = new Answers();
    for (const path of TRAVERSALS) {
      const text = await exchange(base, `GET ${path} HTTP/1.1\r\nhost: a\r\nconnection: close\r\n\r\n`, 5_000);
      const isLeak = /root:.*:0:0:|"dependencies"/.test(text);
      answers.add(isLeak ? `500 ${path} shows a file` : (statusesIn(text)[0] ?? "closed"));
    }
    return answers.outcome();
  },
};

/** Texts on which a pattern that goes back and forth takes for ever. */
const longTexts = (times: number): Attack =>
  each(`${times} x texts on which patterns go back and forth`, () => {
    const texts = [
      "a".repeat(7_000),
      '"'.repeat(7_000),
      " ".repeat(2_000),
      `${"a,".repeat(3_000)}!`,
      `${"W/".repeat(3_000)}"`,
      "1".repeat(7_000),
      `${"0.".repeat(3_000)}e`,
      `${"-".repeat(6_000)}T`,
    ];
    const requests = texts.flatMap((text): Sent[] => {
      const value = encodeURIComponent(text);
      const plain = text.trim() || "a";
      return [
        { path: `/v1/packs?after=${value}` },
        { path: `/v1/packs?first=${value}` },
        { path: `/v1/rankings/power-10s?chemistry=${value}&series=${value.slice(0, 500)}` },
        { path: `/v1/rankings/${value.slice(0, 3_000)}` },
        { path: `/v1/comparisons?packs=${value}` },
        { path: `/v1/runs?tester=${value}&state=${value.slice(0, 500)}` },
        { path: "/v1/packs", headers: { "if-none-match": plain } },
        { path: "/v1/packs", headers: { accept: plain, "accept-encoding": plain.slice(0, 5_000) } },
        { path: "/v1/packs", headers: { authorization: `Bearer ${plain}` } },
        { path: "/v1/packs", headers: { "x-forwarded-for": plain } },
        { path: "/v1/packs", headers: { cookie: `a=${plain}`, origin: plain.slice(0, 3_000) } },
        { method: "POST", path: "/v1/packs", headers: { ...json, "idempotency-key": plain }, body: "{}" },
        {
          method: "POST",
          path: "/v1/checks",
          headers: { "content-type": `multipart/form-data; boundary=${plain}` },
          body: "a",
        },
      ];
    });
    return Array.from({ length: times }, () => requests).flat();
  });

const forgedCursors = (times: number): Attack =>
  each(`${times} forged cursors`, () =>
    Array.from({ length: times }, (_, index): Sent => {
      const contents = [
        JSON.stringify(["01a2122e-e1a4-753d-899e-c914096834c6"]),
        JSON.stringify([index, null, { $gt: "" }, "' OR 1=1 --"]),
        JSON.stringify(Array(300).fill(1e308)),
        randomBytes(1 + (index % 200)).toString("latin1"),
      ];
      const cursor = Buffer.from(contents[index % contents.length] ?? "").toString("base64url");
      const lists = ["/v1/packs", "/v1/runs", "/v1/rankings/power-10s"];
      return { path: `${lists[index % lists.length]}?after=${cursor}` };
    }),
  );

const ranges = (times: number): Attack => ({
  name: `${times} x ranges of a log`,
  async attack(base) {
    const answers = new Answers();
    const { body } = await send(base, { path: "/v1/runs?first=1" });
    const [, id = "none"] = /"id":"([0-9a-f-]{36})"/.exec(body) ?? [];
    const values = [
      `bytes=${Array.from({ length: 1_500 }, (_, index) => `${index}-`).join(",")}`,
      "bytes=0-0,0-0,0-0",
      "bytes=-0",
      "bytes=9-1",
      "bytes=0-99999999999999999999",
      `bytes=${"-,".repeat(3_000)}`,
      "lines=0-1",
    ];
    await manyAtOnce(times * values.length, 16, async (index) => {
      const range = values[index % values.length] ?? "";
      answers.add((await send(base, { path: `/v1/runs/${id}/log`, headers: { range } })).answer);
    });
    return answers.outcome();
  },
});

/** What is in paths, header fields and bodies; `scale` makes it fewer, and bombs smaller. */
export function contentAttacks(scale = 1): readonly Attack[] {
  const times = (count: number) => Math.ceil(count * scale);
  return [
    bombs(scale === 1 ? [500, 600] : [600], times(4)),
    manyParts(times(20_000), times(10)),
    polluted(times(20)),
    traversal,
    longTexts(times(20)),
    forgedCursors(times(5_000)),
    ranges(times(100)),
  ];
}

// `node src/main.js IMAGE.elf`: runs the board and does what the lines on standard input say, each answered by a line of JSON.
// The cable is a TCP port on this machine; its number is in the first line.
import { readFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { createInterface } from 'node:readline';
import { Board } from './board.js';
import { Image } from './image.js';

const SECOND = 1e9;
/** How long the board runs before the cable is looked at again. */
const SLICE = 2e6;

const image = new Image(process.argv[2]);
let board = null;
let client = null;

const server = createServer((socket) => {
  client = socket;
  socket.setNoDelay(true);
  socket.on('data', (bytes) => board.cable.write(bytes));
  socket.on('error', () => {});
  socket.on('close', () => {
    if (client === socket) client = null;
    board.cable.open = client !== null;
  });
  board.cable.open = true;
  board.cable.poll();
});

const pause = () => new Promise((resolve) => setImmediate(resolve));

function wire() {
  board.cable.onBytes = (bytes) => client?.write(bytes);
  board.cable.onUnplug = () => client?.destroy();
}

/** Runs in slices, so that the cable is served, until `enough`. Answers whether the power stayed. */
async function run(seconds, enough = () => false) {
  const limit = board.chip.clock.nanos + seconds * SECOND;
  while (board.chip.clock.nanos < limit && !enough()) {
    if (!board.run(Math.min(client ? SLICE : 50 * SLICE, limit - board.chip.clock.nanos))) return false;
    await pause();
  }
  return true;
}

function facts() {
  const { chip, nor, cable } = board;
  const lit = board.lampChanges.filter((c) => c.lit).map((c) => c.nanos / SECOND);
  return {
    seconds: chip.clock.nanos / SECOND,
    awake: chip.awake,
    hertz: chip.mcu.clkSys,
    conversions: board.conversions,
    operations: nor.operations,
    chipResets: nor.resets,
    erases: nor.erases.reduce((a, b) => a + b, 0),
    violations: nor.violations,
    stack: board.stack,
    image: image.size,
    statics: image.symbol('__euninit') - 0x20000000,
    answer: cable.answer,
    usb: cable.strings,
    resets: board.resets,
    lit,
  };
}

const commands = {
  start: async (options = '{}') => {
    board = new Board(image, JSON.parse(options));
    wire();
    board.powerOn();
  },
  samples: async (path) => {
    const bytes = readFileSync(path);
    board.samples = new Uint16Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length));
  },
  clips: async (...codes) => {
    board.converter.silent = codes[0] === 'silent';
    board.converter.stuck = codes[0] === 'stuck';
    if (codes.length > 1) codes.forEach((code, i) => (board.converter.inputs[i] = Number(code)));
  },
  run: async (seconds) => ({ power: await run(Number(seconds)) }),
  /** Plugs in and runs until a program that opened the port has closed it again. */
  serve: async (seconds) => {
    if (!board.cable.plugged) board.cable.plug();
    let seen = false;
    const done = () => {
      seen ||= client !== null;
      return seen && client === null;
    };
    return { power: await run(Number(seconds), done), ready: board.cable.ready };
  },
  unplug: async () => board.cable.unplug(),
  'unplug-after': async (bytes) => {
    board.cable.unplugAfter = board.cable.sent + Number(bytes);
  },
  'cut-after': async (operations, kind) => {
    board.nor.cutAt = Number(operations);
    board.nor.cutKind = kind ?? null;
  },
  power: async () => board.powerOn(),
  stick: async (on) => {
    board.nor.stuck = { on: true, off: false }[on] ?? on;
  },
  press: async () => board.press(),
  hang: async () => board.hang(),
  panic: async () => board.panic(),
  facts: async () => facts(),
};

server.listen(0, '127.0.0.1', async () => {
  console.log(JSON.stringify({ port: server.address().port }));
  for await (const line of createInterface({ input: process.stdin })) {
    const [name, ...words] = line.trim().split(' ');
    if (name === 'quit') break;
    try {
      const answer = await commands[name](...words);
      console.log(JSON.stringify(answer ?? {}));
    } catch (error) {
      console.log(JSON.stringify({ error: String(error.stack ?? error) }));
    }
  }
  process.exit(0);
});

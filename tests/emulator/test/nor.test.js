// The flash model against what the data sheets of its class say.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { LazyClock } from '../src/clock.js';
import { Nor } from '../src/nor.js';

const bench = () => {
  const nor = new Nor({ power: 16 });
  const clock = new LazyClock(0);
  let cut = false;
  nor.attach(clock, () => (cut = true));
  const send = (...bytes) => {
    nor.select(true);
    const answers = bytes.map((byte) => nor.exchange(byte));
    nor.select(false);
    return answers;
  };
  const wait = () => clock.sleep(clock.nanos + 1e9);
  return { nor, clock, send, wait, cut: () => cut };
};

test('programming only clears bits, and wraps within the page', () => {
  const { nor, send, wait } = bench();
  send(0x06);
  send(0x02, 0, 0, 0xfe, 0x0f, 0xf0, 0x33);
  wait();
  assert.deepEqual([...nor.bytes.subarray(0xfe, 0x100), nor.bytes[0], nor.bytes[0x100]], [0x0f, 0xf0, 0x33, 0xff]);
  send(0x06);
  send(0x02, 0, 0, 0xfe, 0xf8);
  wait();
  assert.equal(nor.bytes[0xfe], 0x08);
});

test('nothing is written without write enable, and enable lasts for one write', () => {
  const { nor, send, wait } = bench();
  send(0x02, 0, 0, 0, 0);
  wait();
  assert.equal(nor.bytes[0], 0xff);
  assert.equal(nor.violations.length, 1);
  send(0x06);
  send(0x02, 0, 0, 0, 0);
  wait();
  send(0x02, 0, 0, 1, 0);
  wait();
  assert.deepEqual([nor.bytes[0], nor.bytes[1]], [0, 0xff]);
});

test('while it is busy only the status is answered', () => {
  const { nor, send, wait } = bench();
  send(0x06);
  send(0x20, 0, 0, 0);
  assert.equal(send(0x05, 0)[1] & 1, 1);
  send(0x03, 0, 0, 0, 0);
  assert.match(nor.violations[0], /while busy/);
  wait();
  assert.equal(send(0x05, 0)[1] & 1, 0);
});

test('an erase is of a sector of 4 KiB', () => {
  const { nor, send, wait } = bench();
  nor.bytes.fill(0);
  send(0x06);
  send(0x20, 0, 0x1f, 0xff);
  wait();
  assert.deepEqual([nor.bytes[0xfff], nor.bytes[0x1000], nor.bytes[0x1fff], nor.bytes[0x2000]], [0, 0xff, 0xff, 0]);
});

test('power that goes in the middle leaves some bits moved and some not', () => {
  const { nor, send, wait, cut } = bench();
  nor.bytes.fill(0, 0x1000, 0x2000);
  nor.cutAt = 0;
  send(0x06);
  send(0x20, 0, 0x10, 0);
  wait();
  assert.ok(cut());
  const sector = nor.bytes.subarray(0x1000, 0x2000);
  assert.ok(sector.some((byte) => byte !== 0) && sector.some((byte) => byte !== 0xff));
});

test('it says what it is', () => {
  const { send } = bench();
  assert.deepEqual(send(0x9f, 0, 0, 0).slice(1), [0x00, 0x40, 16]);
});

test('a chip that hangs is heard again after both commands of a reset, in order', () => {
  const { nor, send } = bench();
  const busy = () => send(0x05, 0)[1] & 1;
  nor.stuck = 'reset';
  for (const commands of [[0x99], [0x66], [0x66, 0x05, 0x99]]) {
    commands.forEach((command) => send(command));
    assert.equal(busy(), 1, `${commands}`);
  }
  send(0x66);
  send(0x99);
  assert.deepEqual([busy(), nor.resets], [0, 1]);
});

test('a reset in the middle of an erase leaves it half done', () => {
  const { nor, send, wait } = bench();
  nor.bytes.fill(0, 0, 4096);
  send(0x06);
  send(0x20, 0, 0, 0);
  send(0x66);
  send(0x99);
  wait();
  const erased = nor.bytes.subarray(0, 4096).filter((byte) => byte === 0xff).length;
  assert.ok(erased < 4096 && nor.bytes.subarray(0, 4096).some((byte) => byte !== 0), `${erased}`);
  assert.equal(send(0x05, 0)[1] & 1, 0);
});

// Each mend of the emulator at work, beside what the emulator does without it: when a newer one no longer needs a mend, the second
// half of its test fails and the mend can go.
import assert from 'node:assert/strict';
import { test } from 'node:test';
import { RP2040 } from 'rp2040js';
import { Cable } from '../src/cable.js';
import { Chip } from '../src/chip.js';
import { LazyClock } from '../src/clock.js';

const RAM = 0x20000000;
const bare = { segments: [] };
const stock = () => {
  const mcu = new RP2040();
  mcu.logger = { debug() {}, info() {}, warn() {}, error() {} };
  return mcu;
};
const mended = () => new Chip(bare).mcu;

test('the converter goes round all four channels', () => {
  const round = ({ adc }) => [0, 1, 2, 3].map((channel) => ((adc.activeChannel = channel), adc.activeChannel));
  assert.deepEqual(round(mended()), [0, 1, 2, 3]);
  assert.notDeepEqual(round(stock()), [0, 1, 2, 3]);
});

test('the interrupt mask of the I2C bus can be written', () => {
  const mask = (mcu) => (mcu.i2c[0].writeUint32(0x30, 0x10), mcu.i2c[0].readUint32(0x30));
  assert.equal(mask(mended()), 0x10);
  assert.notEqual(mask(stock()), 0x10);
});

test('an aborted transfer leaves an empty FIFO that says so', () => {
  const empty = ({ i2c }) => (i2c[0].abort(1), (i2c[0].intRaw & 0x10) !== 0);
  assert.equal(empty(mended()), true);
  assert.equal(empty(stock()), false);
});

test('clock gates and the interrupts of dormant sleep are remembered', () => {
  const registers = (mcu) => {
    mcu.clocks.writeUint32(0xa4, 0x1234);
    mcu.peripherals[0x40014].writeUint32(0x168, 0x56);
    return [mcu.clocks.readUint32(0xa4), mcu.peripherals[0x40014].readUint32(0x168)];
  };
  assert.deepEqual(registers(mended()), [0x1234, 0x56]);
  assert.notDeepEqual(registers(stock()), [0x1234, 0x56]);
});

test('an abort of the DMA is over when it is asked', () => {
  assert.equal(mended().dma.readUint32(0x444), 0);
  assert.notEqual(stock().dma.readUint32(0x444), 0);
});

test('SEV wakes a later WFE', () => {
  const sev = (mcu) => {
    mcu.sramView.setUint16(0, 0xbf40, true);
    mcu.core.eventRegistered = false;
    mcu.core.PC = RAM;
    mcu.core.executeInstruction();
    return mcu.core.eventRegistered;
  };
  assert.equal(sev(mended()), true);
  assert.equal(sev(stock()), false);
});

test('the watchdog bites once, and memory outlives it', () => {
  const chip = new Chip(bare);
  chip.mcu.sram[77] = 5;
  chip.watchdog.writeUint32(0x0c, 9);
  chip.watchdog.writeUint32(0x04, 2_000);
  chip.watchdog.writeUint32(0x00, 1 << 30);
  // Nothing runs: the clock alone moves.
  chip.clock.sleep(5e6);
  assert.equal(chip.stopped, 'watchdog');
  const again = new Chip(bare, { kept: chip.kept });
  assert.equal(again.mcu.sram[77], 5);
  assert.equal(again.watchdog.readUint32(0x0c), 9);
  assert.equal(again.watchdog.readUint32(0x08), 1, 'the reason is the timer');
});

test('a warning that is not known stops the run', () => {
  assert.throws(() => mended().readUint32(0x7fffffff & ~3), /emulator/);
});

test('a buffer for the host keeps its flag until there is data', () => {
  const chip = new Chip(bare);
  const cable = new Cable();
  cable.attach(chip.mcu);
  const control = 0x8c;
  chip.mcu.writeUint32(0x50100000 + control, 0x440);
  assert.equal(chip.mcu.usbDPRAMView.getUint32(control, true), 0x440);
});

test('the clock sets off alarms in order, at their times', () => {
  const clock = new LazyClock(100);
  const seen = [];
  clock.createAlarm(() => seen.push(['late', clock.nanos])).schedule(50);
  clock.createAlarm(() => seen.push(['early', clock.nanos])).schedule(20);
  const never = clock.createAlarm(() => seen.push('never'));
  never.schedule(30);
  never.cancel();
  clock.pass(10);
  assert.deepEqual(seen, []);
  clock.pass(60);
  assert.deepEqual(seen, [['early', 120], ['late', 150]]);
  assert.equal(clock.nanos, 170);
});

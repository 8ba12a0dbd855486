// The board and the world around it: samples at its inputs, clips, flash, button, lamp, cable.
import { Chip } from './chip.js';
import { Cable } from './cable.js';
import { Converter } from './converter.js';
import { Nor } from './nor.js';

const FLASH_SELECT = 17;
const BUTTON = 14;
const LAMP = 25;
/** A byte at 12 MHz. */
const BYTE_NANOS = 8e9 / 12e6;
const RAM = 0x20000000;

export class Board {
  constructor(image, { nor = {}, nanos = 0 } = {}) {
    this.image = image;
    this.nor = new Nor(nor);
    this.converter = new Converter();
    this.cable = new Cable();
    this.start = nanos;
    this.chip = null;
    /** Samples of four channels in turn, for ever. */
    this.samples = Uint16Array.of(2048, 2048, 2048, 1862);
    this.conversions = 0;
    this.lampChanges = [];
    this.resets = [];
  }

  powerOn() {
    this.boot({ nanos: this.chip ? this.chip.clock.nanos : this.start });
  }

  boot(state) {
    this.chip = new Chip(this.image, state);
    const { mcu, clock } = this.chip;
    this.feed(mcu.adc);
    this.wireFlash(mcu, clock);
    this.converter.attach(mcu.i2c[0], clock);
    this.cable.attach(mcu);
    mcu.gpio[BUTTON].setInputValue(true);
    mcu.gpio[LAMP].addListener((state) => this.lampChanges.push({ nanos: clock.nanos, lit: state === 1 }));
  }

  feed(adc) {
    adc.onADCRead = (channel) => {
      // The first conversion of all is of channel 0; from then on they go round.
      if (channel !== this.conversions % 4) throw new Error(`converter: channel ${channel} out of turn`);
      adc.currentChannel = channel;
      adc.channelValues[channel] = this.samples[this.conversions % this.samples.length];
      this.conversions++;
      adc.sampleAlarm.schedule(adc.sampleTime * 1000);
    };
    // A processor that was reset begins a new round.
    this.conversions += (4 - (this.conversions % 4)) % 4;
  }

  wireFlash(mcu, clock) {
    this.nor.attach(clock, () => {
      this.chip.stopped = 'power';
    });
    mcu.gpio[FLASH_SELECT].addListener((state) => this.nor.select(state === 0));
    const spi = mcu.spi[0];
    let answer = 0;
    // A byte takes its time: answered at once, the DMA of the emulator hangs.
    const done = clock.createAlarm(() => spi.completeTransmit(answer));
    spi.onTransmit = (byte) => {
      answer = this.nor.exchange(byte);
      done.schedule(BYTE_NANOS);
    };
  }

  /** Runs for so many nanoseconds; resets happen on the way. Stops early when the power goes: then `false`. */
  run(nanos) {
    const limit = this.chip.clock.nanos + nanos;
    for (;;) {
      this.chip.run(limit);
      if (this.chip.stopped === 'power') return false;
      if (this.chip.stopped !== 'watchdog') return true;
      this.resets.push({ nanos: this.chip.clock.nanos, reason: this.chip.watchdog.reason });
      this.boot({ nanos: this.chip.clock.nanos, kept: this.chip.kept });
    }
  }

  /** Presses the button for 0.2 s. */
  press() {
    const pin = this.chip.mcu.gpio[BUTTON];
    pin.setInputValue(false);
    this.chip.clock.createAlarm(() => pin.setInputValue(true)).schedule(200e6);
  }

  /** Makes the image stop itself: jumps to where an `unwrap` of nothing would, as its own code does. */
  panic() {
    const { core, sramView } = this.chip.mcu;
    const place = 0x3f000;
    const name = Buffer.from('src/by_hand.rs');
    this.chip.mcu.sram.set(name, place);
    [RAM + place, name.length, 7, 3].forEach((word, i) => sramView.setUint32(place + 0x40 + i * 4, word, true));
    core.registers[0] = RAM + place + 0x40;
    core.PC = this.image.find('core', 'option', 'unwrap_failed') & ~1;
    core.waiting = false;
  }

  /** Makes the image hang: a branch to itself, in memory that it does not use, with interrupts on. */
  hang() {
    const place = 0x3f000;
    this.chip.mcu.sramView.setUint16(place, 0xe7fe, true);
    this.chip.mcu.core.PC = RAM + place;
    this.chip.mcu.core.waiting = false;
  }

  /** Bytes of stack that were ever used: what is below was never written since the power came. */
  get stack() {
    const { sram } = this.chip.mcu;
    const [bottom, top] = [this.image.symbol('__euninit') - RAM, this.image.symbol('_stack_start') - RAM];
    let lowest = bottom;
    while (lowest < top && sram[lowest] === 0xaa) lowest++;
    return top - lowest;
  }
}

// The processor: the emulator's, mended where it differs from the real one in what our image uses. Each mend names what goes
// wrong without it; mends.test.js shows each of them at work.
import { RP2040 } from 'rp2040js';
import { LazyClock } from './clock.js';

const VECTORS = 0x10000100;
const WAKE_EN0 = 0xa0;
const SLEEP_EN1 = 0xac;
const IO_BANK0 = 0x40014;
const DORMANT_WAKE = 0x160;
const DORMANT_WAKE_END = 0x18c;
const TX_EMPTY = 1 << 4;

/** Warnings of the emulator that are known and harmless. */
const ALLOWED = [
  /^ROSC_BASE: Unimplemented/,
  /^VREG_AND_CHIP_RESET_BASE: Unimplemented/,
  /^IO_QSPI_BASE: Unimplemented/,
  /IC_SDA_HOLD/,
  // The driver clears all registers, those that are only read included.
  /^USB: Unimplemented peripheral write to 0x[0-9a-f]+: 0x0$/,
];

export class Chip {
  /** `nanos`: what the clock shows; `kept`: memory and registers of the processor that was reset. */
  constructor(image, { nanos = 0, kept = null } = {}) {
    this.clock = new LazyClock(nanos);
    const mcu = new RP2040(this.clock);
    this.mcu = mcu;
    this.awake = 0;
    this.stopped = null;
    mcu.logger = this.logger();
    mcu.onBreak = (code) => {
      throw new Error(`breakpoint ${code} at ${mcu.core.PC.toString(16)}`);
    };
    roundRobin(mcu.adc);
    interruptMask(mcu.i2c[0]);
    emptyAfterAbort(mcu.i2c[0]);
    remembered(mcu.clocks, WAKE_EN0, SLEEP_EN1, 0xffffffff);
    remembered(mcu.peripherals[IO_BANK0], DORMANT_WAKE, DORMANT_WAKE_END, 0);
    aborted(mcu.dma);
    image.segments.forEach(({ offset, bytes }) => mcu.flash.set(bytes, offset));
    if (kept) {
      mcu.sram.set(kept.sram);
      mcu.peripherals[0x40058].scratchData.set(kept.scratch);
      mcu.peripherals[0x40058].reason = kept.reason;
    } else mcu.sram.fill(0xaa);
    this.watchdog = mcu.peripherals[0x40058];
    this.watchdog.onWatchdogTrigger = () => {
      // Without this the emulated watchdog fires again and again.
      this.watchdog.timer.enable = false;
      this.watchdog.alarm.enable = false;
      this.stopped = 'watchdog';
    };
    // There is no boot ROM: start where its second stage would have jumped. `mcu.reset()` would erase the flash.
    mcu.core.VTOR = VECTORS;
    mcu.core.reset();
  }

  /** What a watchdog's reset leaves as it was. */
  get kept() {
    const { sram } = this.mcu;
    return { sram: sram.slice(), scratch: this.watchdog.scratchData.slice(), reason: this.watchdog.reason };
  }

  /** Runs until the clock shows `limit` or something stops it. */
  run(limit) {
    const { clock, mcu } = this;
    const { core } = mcu;
    while (clock.nanos < limit && !this.stopped) {
      if (core.waiting) clock.sleep(limit);
      else {
        const cycles = core.executeInstruction();
        this.awake += cycles;
        clock.pass((cycles * 1e9) / mcu.clkSys);
      }
    }
    clock.settle();
  }

  logger() {
    const check = (level) => (component, message) => {
      const text = `${component}: ${message}`;
      if (!ALLOWED.some((known) => known.test(text))) throw new Error(`emulator ${level}: ${text}`);
    };
    return {
      debug: () => {},
      // The emulator only reports SEV; the core must remember it, or the executor sleeps through its own wake-ups.
      info: (_, message) => {
        if (message === 'SEV') this.mcu.core.eventRegistered = true;
      },
      warn: check('warning'),
      error: check('error'),
    };
  }
}

/** The setter of the emulator masks the channel with a shift count: channel 3 becomes 0. */
function roundRobin(adc) {
  Object.defineProperty(adc, 'activeChannel', {
    get: () => (adc.cs >> 12) & 7,
    set: (channel) => {
      adc.cs = (adc.cs & ~(7 << 12)) | ((channel & 7) << 12);
    },
  });
}

/** The interrupt mask of the emulated I2C cannot be written. */
function interruptMask(bus) {
  const write = bus.writeUint32.bind(bus);
  bus.writeUint32 = (offset, value) => {
    if (offset === 0x30) {
      bus.intEnable = value;
      bus.checkInterrupts();
    } else write(offset, value);
  };
}

/** After an abort the FIFO is empty, and says so; the emulated one does not, and a driver waits for ever. */
function emptyAfterAbort(bus) {
  const abort = bus.abort.bind(bus);
  bus.abort = (reason) => {
    abort(reason);
    bus.setInterrupts(TX_EMPTY);
  };
}

/** Registers that are not modelled, and that it is enough to remember: clock gates, interrupts in dormant sleep. */
function remembered(peripheral, first, last, initial) {
  const values = new Map();
  const [read, write] = [peripheral.readUint32.bind(peripheral), peripheral.writeUint32.bind(peripheral)];
  const mine = (offset) => offset >= first && offset <= last;
  peripheral.readUint32 = (offset) => (mine(offset) ? (values.get(offset) ?? initial) : read(offset));
  peripheral.writeUint32 = (offset, value) => (mine(offset) ? values.set(offset, value) : write(offset, value));
}

/** Whether an abort is still going on cannot be read: it is over at once. */
function aborted(dma) {
  const read = dma.readUint32.bind(dma);
  dma.readUint32 = (offset) => (offset === 0x444 ? 0 : read(offset));
}

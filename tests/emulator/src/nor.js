// A serial NOR flash that behaves as the data sheets of its class say: 256-byte pages, 4 KiB sectors, programming only clears
// bits and wraps within the page, nothing is heard while it is busy, and power may go in the middle of anything.

const PAGE = 256;
const SECTOR = 4096;
const BUSY = 1;
const WRITE_ENABLED = 2;

export class Nor {
  /** `power`: the chip has 2^power bytes. Times in nanoseconds. */
  constructor({ power = 20, page = 0.7e6, sector = 60e6 } = {}) {
    this.power = power;
    this.bytes = new Uint8Array(1 << power).fill(0xff);
    this.times = { page, sector };
    this.operations = 0;
    this.resets = 0;
    this.erases = new Uint32Array(this.bytes.length / SECTOR);
    this.violations = [];
    /** Cut the power in the middle of this operation. */
    this.cutAt = null;
    this.cutKind = null;
    /** Stays busy for ever, as a broken chip does; 'reset': until it is reset (66h, 99h); 'write': likewise, from the next write on. */
    this.stuck = false;
    this.random = 0x2545f491;
    this.reset();
  }

  /** Power comes, or a new processor talks to it. */
  reset() {
    this.status = 0;
    this.selected = false;
    this.command = [];
    this.working = null;
  }

  attach(clock, onCut) {
    this.alarm = clock.createAlarm(() => this.finish());
    this.cutAlarm = clock.createAlarm(() => {
      this.halfDone();
      onCut();
    });
    this.reset();
  }

  select(selected) {
    if (this.selected && !selected) this.execute();
    this.selected = selected;
    this.command = [];
  }

  /** One byte each way. */
  exchange(byte) {
    if (!this.selected) return 0xff;
    const at = this.command.push(byte) - 1;
    const operation = this.command[0];
    if (at === 0) {
      if (this.status & BUSY && ![0x05, 0x66, 0x99].includes(operation)) this.violations.push(`command ${operation.toString(16)} while busy`);
      return 0xff;
    }
    switch (operation) {
      case 0x05:
        return this.status | (this.stuck && this.stuck !== 'write' ? BUSY : 0);
      case 0x9f:
        // Manufacturer 0: nobody's.
        return [0x00, 0x40, this.power][(at - 1) % 3];
      case 0x03:
        return at < 4 ? 0xff : this.bytes[(this.address + at - 4) % this.bytes.length];
      default:
        return 0xff;
    }
  }

  get address() {
    const [, high, middle, low] = this.command;
    return ((high << 16) | (middle << 8) | low) % this.bytes.length;
  }

  execute() {
    const [operation] = this.command;
    const resetting = operation === 0x99 && this.resettable;
    this.resettable = operation === 0x66;
    if (resetting) {
      if (this.working) this.halfDone();
      this.status = 0;
      this.working = null;
      this.resets++;
      if (this.stuck === 'reset') this.stuck = false;
    }
    if (operation === undefined || this.status & BUSY) return;
    if (operation === 0x06) this.status |= WRITE_ENABLED;
    if (operation === 0x04) this.status &= ~WRITE_ENABLED;
    if (operation !== 0x02 && operation !== 0x20 && operation !== 0xc7) {
      if (![0x03, 0x04, 0x05, 0x06, 0x66, 0x99, 0x9f].includes(operation)) {
        this.violations.push(`command ${operation.toString(16)} is not modelled`);
      }
      return;
    }
    if (!(this.status & WRITE_ENABLED)) {
      this.violations.push('write without write enable');
      return;
    }
    if (operation === 0x02) this.begin('write', this.times.page, this.program(this.command.slice(4)));
    else if (operation === 0x20) this.begin('erase', this.times.sector, this.erasure());
    else this.violations.push('whole chip erased');
  }

  program(data) {
    const page = this.address - (this.address % PAGE);
    return data.slice(-PAGE).map((byte, i) => ({ at: page + ((this.address + i) % PAGE), mask: byte }));
  }

  erasure() {
    const start = this.address - (this.address % SECTOR);
    this.erases[start / SECTOR]++;
    return { start };
  }

  begin(kind, nanos, working) {
    if (this.stuck === 'write') this.stuck = 'reset';
    this.status |= BUSY;
    this.operations++;
    this.working = { kind, working };
    const cut = this.cutAt !== null && (this.cutKind === null || this.cutKind === kind) && --this.cutAt < 0;
    if (cut) {
      this.cutAt = null;
      this.cutAlarm.schedule(nanos / 2);
    } else this.alarm.schedule(nanos);
  }

  finish() {
    // A reset ended it.
    if (!this.working) return;
    const { kind, working } = this.working;
    if (kind === 'write') for (const { at, mask } of working) this.bytes[at] &= mask;
    else this.bytes.fill(0xff, working.start, working.start + SECTOR);
    this.status &= ~(BUSY | WRITE_ENABLED);
    this.working = null;
  }

  /** The power goes: some bits have been moved, some not. */
  halfDone() {
    const { kind, working } = this.working;
    if (kind === 'write') {
      for (const { at, mask } of working) this.bytes[at] &= mask | this.noise();
    } else {
      for (let i = working.start; i < working.start + SECTOR; i++) this.bytes[i] |= this.noise();
    }
  }

  /** A byte of the generator of Marsaglia (2003), xorshift with 13, 17, 5. */
  noise() {
    this.random ^= this.random << 13;
    this.random ^= this.random >>> 17;
    this.random ^= this.random << 5;
    return this.random & 0xff;
  }
}

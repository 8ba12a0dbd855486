// The emulator's clock, moved on only when an alarm falls due: one addition for an instruction instead of a walk.

class Alarm {
  constructor(clock, callback) {
    this.clock = clock;
    this.callback = callback;
    this.due = 0;
    this.next = null;
    this.scheduled = false;
  }

  schedule(nanos) {
    this.cancel();
    this.due = this.clock.nanos + nanos;
    this.clock.insert(this);
  }

  cancel() {
    if (this.scheduled) this.clock.remove(this);
  }
}

export class LazyClock {
  constructor(nanos) {
    this.settled = nanos;
    /** Time that has passed since, with nothing due in it. */
    this.ahead = 0;
    this.first = null;
  }

  get nanos() {
    return this.settled + this.ahead;
  }

  get micros() {
    return this.nanos / 1000;
  }

  createAlarm(callback) {
    return new Alarm(this, callback);
  }

  /** Alarms due at the same time go off the last one first, as the emulator's own clock has it. */
  insert(alarm) {
    let before = null;
    let after = this.first;
    while (after && after.due < alarm.due) [before, after] = [after, after.next];
    alarm.next = after;
    alarm.scheduled = true;
    if (before) before.next = alarm;
    else this.first = alarm;
  }

  remove(alarm) {
    alarm.scheduled = false;
    if (this.first === alarm) {
      this.first = alarm.next;
      return;
    }
    let before = this.first;
    while (before.next !== alarm) before = before.next;
    before.next = alarm.next;
  }

  /** An instruction has taken so long. */
  pass(nanos) {
    this.ahead += nanos;
    if (this.first && this.first.due <= this.nanos) this.settle();
  }

  /** The core sleeps: on to the next alarm, but not beyond `limit`. */
  sleep(limit) {
    this.settle();
    const next = this.first ? Math.min(this.first.due, limit) : limit;
    this.ahead += Math.max(next - this.settled, 0);
    this.settle();
  }

  /** Sets off what is due. */
  settle() {
    const target = this.nanos;
    this.ahead = 0;
    while (this.first && this.first.due <= target) {
      const alarm = this.first;
      this.first = alarm.next;
      alarm.scheduled = false;
      this.settled = Math.max(this.settled, alarm.due);
      alarm.callback();
    }
    this.settled = target;
  }
}

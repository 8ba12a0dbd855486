// An image as the linker made it: what goes into flash, and where its symbols are.
import { readFileSync } from 'node:fs';

const FLASH = 0x10000000;
const FLASH_END = 0x14000000;
const LOAD = 1;
const SYMBOLS = 2;

export class Image {
  constructor(path) {
    const bytes = readFileSync(path);
    if (bytes.readUInt32BE(0) !== 0x7f454c46) throw new Error(`${path} is no ELF file`);
    this.segments = [];
    const headers = bytes.readUInt32LE(0x1c);
    for (let i = 0; i < bytes.readUInt16LE(0x2c); i++) {
      const at = headers + i * bytes.readUInt16LE(0x2a);
      const [type, offset, , physical, size] = [0, 4, 8, 12, 16].map((o) => bytes.readUInt32LE(at + o));
      if (type === LOAD && size > 0 && physical >= FLASH && physical < FLASH_END) {
        this.segments.push({ offset: physical - FLASH, bytes: bytes.subarray(offset, offset + size) });
      }
    }
    this.symbols = symbols(bytes);
  }

  /** Bytes from the first to the last in flash. */
  get size() {
    return Math.max(...this.segments.map((s) => s.offset + s.bytes.length));
  }

  /** The address of a symbol, by its exact name. */
  symbol(name) {
    const address = this.symbols.get(name);
    if (address === undefined) throw new Error(`the image has no symbol ${name}`);
    return address;
  }

  /** The address of the one function whose mangled name contains all of `parts`. */
  find(...parts) {
    const found = [...this.symbols].filter(([name]) => parts.every((p) => name.includes(p)));
    if (found.length === 0) throw new Error(`the image has no symbol with ${parts.join(' and ')}`);
    return found[0][1];
  }
}

function symbols(bytes) {
  const found = new Map();
  const headers = bytes.readUInt32LE(0x20);
  const size = bytes.readUInt16LE(0x2e);
  const section = (i) => {
    const at = headers + i * size;
    const [, type, , , offset, length, link] = [0, 4, 8, 12, 16, 20, 24].map((o) => bytes.readUInt32LE(at + o));
    return { type, offset, length, link };
  };
  for (let i = 0; i < bytes.readUInt16LE(0x30); i++) {
    const table = section(i);
    if (table.type !== SYMBOLS) continue;
    const names = section(table.link);
    for (let at = table.offset; at < table.offset + table.length; at += 16) {
      const start = names.offset + bytes.readUInt32LE(at);
      const name = bytes.toString('utf8', start, bytes.indexOf(0, start));
      if (name) found.set(name, bytes.readUInt32LE(at + 4));
    }
  }
  return found;
}

const FIRST_BYTES = 256;
const FLOAT_BYTES = 8;
const SEVEN_BITS = 0x80;
/** A number of seven bits a byte has no more bytes than this when it is a safe integer. */
const MAX_VARINT_BYTES = 8;

/** Bytes that are written one after the other. Whole numbers stand seven bits a byte, the least significant first. */
export class ByteWriter {
  private bytes = Buffer.alloc(FIRST_BYTES);
  private at = 0;

  byte(value: number): void {
    this.reserve(1);
    this.bytes[this.at++] = value;
  }

  /** @param value a whole number from 0 to 2^53 - 1 */
  count(value: number): void {
    let left = value;
    while (left >= SEVEN_BITS) {
      this.byte((left % SEVEN_BITS) + SEVEN_BITS);
      left = Math.floor(left / SEVEN_BITS);
    }
    this.byte(left);
  }

  /** @param value a whole number within 2^52 of 0 */
  integer(value: number): void {
    this.count(value < 0 ? -2 * value - 1 : 2 * value);
  }

  float(value: number): void {
    this.reserve(FLOAT_BYTES);
    this.at = this.bytes.writeDoubleLE(value, this.at);
  }

  block(block: Uint8Array): void {
    this.reserve(block.length);
    this.bytes.set(block, this.at);
    this.at += block.length;
  }

  whole(): Buffer<ArrayBuffer> {
    return Buffer.from(this.bytes.subarray(0, this.at));
  }

  private reserve(count: number): void {
    if (this.at + count <= this.bytes.length) return;
    const larger = Buffer.alloc(2 * (this.at + count));
    larger.set(this.bytes);
    this.bytes = larger;
  }
}

/** Reads what `ByteWriter` wrote. @throws RangeError where the bytes end too early */
export class ByteReader {
  private readonly bytes: Buffer;
  private at = 0;

  constructor(data: Uint8Array) {
    this.bytes = Buffer.from(data.buffer, data.byteOffset, data.byteLength);
  }

  byte(): number {
    return this.bytes.readUInt8(this.at++);
  }

  count(): number {
    let value = 0;
    let weight = 1;
    for (let read = 0; read < MAX_VARINT_BYTES; read++) {
      const byte = this.byte();
      value += (byte % SEVEN_BITS) * weight;
      if (byte < SEVEN_BITS) return value;
      weight *= SEVEN_BITS;
    }
    throw new RangeError("a number has too many bytes");
  }

  integer(): number {
    const value = this.count();
    return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
  }

  float(): number {
    const value = this.bytes.readDoubleLE(this.at);
    this.at += FLOAT_BYTES;
    return value;
  }

  block(length: number): Buffer {
    if (this.at + length > this.bytes.length) throw new RangeError("the bytes end too early");
    this.at += length;
    return this.bytes.subarray(this.at - length, this.at);
  }
}

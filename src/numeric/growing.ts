/** A Float64Array that grows: doubling, so that appending costs linear time in all. */
export class GrowingFloats {
  #values: Float64Array = new Float64Array(256);
  length = 0;

  /** Makes room for `more` and gives the array to write into, from `length` on. Add to `length` what was written. */
  room(more: number): Float64Array {
    const need = this.length + more;
    if (need > this.#values.length) {
      const wider = new Float64Array(Math.max(need, 2 * this.#values.length));
      wider.set(this.#values.subarray(0, this.length));
      this.#values = wider;
    }
    return this.#values;
  }

  /** A copy of what it holds. */
  toArray(): Float64Array {
    return this.#values.slice(0, this.length);
  }
}

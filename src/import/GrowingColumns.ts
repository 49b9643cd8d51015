/** Columns of numbers that grow with the rows that are really there, whatever number of them a file claims. */
export class GrowingColumns {
  rows = 0;
  private readonly columns: Float64Array[];

  /**
   * Makes empty columns.
   *
   * @param most the longest that each column gets; rows beyond are not taken
   * @param guess rows to make room for at first
   */
  constructor(private readonly most: readonly number[], guess: number) {
    this.columns = most.map((limit) => new Float64Array(Math.min(limit, guess)));
  }

  /** Takes `rows` more rows; `write` puts those of one column into the array at a place. */
  push(rows: number, write: (column: number, target: Float64Array, at: number) => void): void {
    this.most.forEach((limit, j) => {
      if (this.rows < limit) write(j, this.room(j, this.rows + rows), this.rows);
    });
    this.rows += rows;
  }

  /** The columns, each as long as what was taken or as its limit. */
  finish(): Float64Array[] {
    return this.columns.map((column, j) => {
      const length = Math.min(this.rows, this.most[j]!);
      return column.length === length ? column : column.slice(0, length);
    });
  }

  private room(column: number, rows: number): Float64Array {
    const old = this.columns[column]!;
    if (rows <= old.length) return old;
    const grown = new Float64Array(Math.max(rows, Math.ceil(old.length * 1.5)));
    grown.set(old);
    this.columns[column] = grown;
    return grown;
  }
}

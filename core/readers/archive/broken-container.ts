/**
 * Thrown while the bytes inside a container are read: they are damaged, protected, or more than is allowed.
 * Whoever reads the container turns it into the failure of the one file that it concerns.
 */
export class BrokenContainer extends Error {
  constructor(
    message: string,
    readonly remedy: string,
    readonly line: number | null = null,
  ) {
    super(message);
  }
}

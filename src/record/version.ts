/** The version of this library, as package.json states it (a test compares the two). */
export const version = '0.1.0';

/** Inputs of a life as a reader calls them. */
export const inputNames: Readonly<Record<string, string>> = Object.freeze({
  gauge: 'gauge chain', zero: 'zero', section: 'diameter', notch: 'notch factor', curve: 'scatter of the curve', criticalSum: 'critical sum', duty: 'duty', shares: 'shares of the hours', strength: 'strength',
});

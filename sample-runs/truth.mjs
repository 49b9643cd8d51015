// The truth that stands beside every run: what the plant, the gauges and the faults really were.
import { bridgePerTorque, chain, freeModes, plant, stressPerTorque } from './tarn-weir.mjs';
import { zeroAt } from './chain.mjs';
import { rangePowerSums } from './witness.mjs';

/** The part that is the same for every run. */
export function plantTruth() {
  return {
    plant: plant.name,
    section: { shape: 'solid', diameter: { value: plant.shaft.diameter, unit: 'm' }, stressPerTorque: { value: stressPerTorque, unit: 'Pa/(N·m)' } },
    steel: { name: plant.steel.name, youngs: plant.steel.youngs, poisson: plant.steel.poisson, shear: plant.steel.shear, yield: plant.steel.yield, tensile: plant.steel.tensile, unit: 'Pa' },
    notch: { detail: plant.shaft.keyway, factor: plant.shaft.notchFactor },
    gauge: {
      bridge: 'full torsion bridge, four active grids at ±45°', gaugeFactor: chain.gaugeFactor, activeArms: chain.activeArms,
      excitation: { value: chain.excitation, unit: 'V' }, gain: { value: chain.gain, unit: 'V/V' },
      sensitivity: { value: bridgePerTorque, unit: '(mV/V)/(N·m)' }, fullScale: { torque: chain.fullScaleTorque, unit: 'N·m' }, noise: { value: chain.noise, unit: 'mV/V rms' },
    },
    gear: plant.gear,
    pump: { blades: plant.pump.blades, law: 'T = pumpTorque · valve · (ω/ratedSpeed)² + friction', pumpTorque: plant.pumpTorque, friction: plant.friction.pump, ratedSpeed: plant.ratedSpeed },
    train: { inertia: plant.inertia, stiffness: plant.stiffness, damping: plant.damping, referredTo: 'line shaft' },
    modes: freeModes(),
  };
}

/** The zero, in mV/V and as torque, with a table over the run. */
export function zeroTruth(zero, seconds, windows) {
  const table = Array.from({ length: 11 }, (_, i) => (seconds * i) / 10).map((t) => ({ t, bridge: zeroAt(zero, t), torque: zeroAt(zero, t) / bridgePerTorque }));
  return { law: 'zero(t) = offset + rise · (1 − exp(−t/lag))', ...zero, unit: 'mV/V', drift: zeroAt(zero, seconds) - zero.offset, windows, table };
}

/** Extremes of the true torque and what damage is made from. */
export function torqueTruth(torque, sampleRate) {
  let low = 0, high = 0, sum = 0;
  for (let i = 0; i < torque.length; i++) {
    if (torque[i] < torque[low]) low = i;
    if (torque[i] > torque[high]) high = i;
    sum += torque[i];
  }
  return {
    unit: 'N·m', mean: sum / torque.length, min: { value: torque[low], t: low / sampleRate }, max: { value: torque[high], t: high / sampleRate },
    rainflow: { rule: 'three-point rule of ASTM E1049-85 (2017) 5.4.4, all samples, no gate; sum of n · range^m', sums: rangePowerSums(torque, [3, 5, 8]) },
  };
}

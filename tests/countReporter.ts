import type { Reporter, TestModule } from 'vitest/node';

/** Prints the plain closing line that a build server reads: how many tests passed and failed. */
export default class CountReporter implements Reporter {
  async onTestRunEnd(modules: readonly TestModule[]): Promise<void> {
    let passed = 0, failed = 0, skipped = 0;
    for (const module of modules) {
      if (module.state() === 'failed' && module.children.size === 0) failed++;
      for (const test of module.children.allTests()) {
        const { state } = test.result();
        if (state === 'passed') passed++;
        else if (state === 'failed') failed++;
        else skipped++;
      }
    }
    // Vitest's own summary is printed in the same turn; ours comes after it.
    await new Promise((done) => setTimeout(done, 50));
    process.stdout.write(`\n${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}\n`);
  }
}

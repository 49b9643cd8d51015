import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { needDist, root } from './dist.js';

beforeAll(needDist);

describe('the library as it is loaded', () => {
  it('loads no native engine before something asks for one', () => {
    const code = `import('${join(root, 'dist', 'index.js')}').then(() => console.log(process.report.getReport().sharedObjects.filter((file) => file.includes('node_modules'))))`;
    const { stdout, stderr } = spawnSync(process.execPath, ['-e', code], { encoding: 'utf8' });
    expect(stderr).toBe('');
    expect(stdout).toBe('[]\n');
  });
});

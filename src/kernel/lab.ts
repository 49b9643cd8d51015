import { spawn, spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { packageDir } from './scope.js';
import { dataDirs, findSpecs, installSpec, userDataDir } from './spec.js';

/** Opens JupyterLab or Notebook on the notebooks, or says how to get one and what works without. */
function openLab(): void {
  const answers = (words: readonly string[]): boolean => spawnSync(words[0]!, [...words.slice(1), '--version'], { stdio: 'ignore' }).status === 0;
  const found = [['jupyter', 'lab'], ['jupyter', 'notebook']].find(answers);
  if (!found) {
    process.stdout.write(`Neither JupyterLab nor Jupyter Notebook is installed here.
To install one:            python3 -m pip install jupyterlab   (or your system's package)
To run without Jupyter:    npm run notebooks                   (Node only; writes pages for reading to reports/notebooks)
`);
    return;
  }
  if (!findSpecs(dataDirs()).some((spec) => spec.works)) process.stdout.write(`Installed the kernel in ${installSpec(userDataDir())}\n`);
  spawn(found[0]!, [...found.slice(1), join(packageDir, 'notebooks')], { stdio: 'inherit' }).on('exit', (code) => process.exit(code ?? 1));
}

openLab();

// A browser for a script that is called as `node SCRIPT JOB.json`; the job names the tools, the browser, the folder for what is
// left behind and, of a running workbench, the link of the terminal.
import { createRequire } from 'node:module';
import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

export const job = JSON.parse(readFileSync(process.argv[2], 'utf8'));
export const axe = readFileSync(join(job.tools, 'node_modules/axe-core/axe.min.js'), 'utf8');
export const base = job.link ? new URL(job.link).origin : '';
mkdirSync(job.out, { recursive: true });

const { chromium } = createRequire(join(job.tools, 'package.json'))('playwright-core');
export const browser = await chromium.launch({
  executablePath: job.chromium,
  // The pages are our own, and a container seldom allows the browser's sandbox.
  args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});

import { createRequire } from 'node:module';

/** The kernel's logo, drawn for this project: a shaft between two couplings with a quill's twist line along it. */
export const logoSvg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64" width="64" height="64">
<rect width="64" height="64" rx="12" fill="#16385c"/>
<rect x="6" y="18" width="10" height="28" rx="2" fill="#c39a2c"/>
<rect x="48" y="18" width="10" height="28" rx="2" fill="#c39a2c"/>
<rect x="16" y="24" width="32" height="16" fill="#eef2f6"/>
<path d="M18 40 L30 24 M28 40 L40 24 M38 40 L47 28" stroke="#c2511b" stroke-width="2.6" fill="none"/>
<path d="M8 54 C20 47 26 58 36 52 S50 48 57 51" stroke="#3d9a8b" stroke-width="2.6" fill="none" stroke-linecap="round"/>
</svg>
`;

/** The logo as PNG of a size in pixels. */
export function logoPng(size: number): Uint8Array {
  const { Resvg } = createRequire(import.meta.url)('@resvg/resvg-js') as typeof import('@resvg/resvg-js');
  return new Resvg(logoSvg, { fitTo: { mode: 'width', value: size } }).render().asPng();
}

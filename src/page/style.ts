/** The page's look: quiet paper, or deep walnut where a person prefers the dark; one ember for what matters. */
export const PAGE_STYLE = `
:root { --paper: #f6f1e7; --ink: #33291f; --quiet: #6b5d50; --hair: #d9cdbb; --ember: #b8471a; color-scheme: light dark; }
@media (prefers-color-scheme: dark) {
  :root { --paper: #211915; --ink: #efe6d8; --quiet: #b3a493; --hair: #4a3d33; --ember: #ff8a4c; }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 17px/1.5 'Source Serif 4', Charter, Georgia, serif; }
main { max-width: 62rem; margin: 0 auto; padding: 2.5rem 1.25rem 4rem; }
h1 { font-size: 1.9rem; line-height: 1.2; margin: 0 0 .25rem; }
h2 { font-size: 1.25rem; margin: 2.75rem 0 .75rem; }
p, ol, ul { margin: 0 0 .75rem; }
.quiet, figcaption, small { color: var(--quiet); }
figure { margin: 1.25rem 0; }
figure img { display: block; width: 100%; height: auto; border: 1px solid var(--hair); }
figcaption { font-size: .9rem; margin-top: .4rem; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .4rem .75rem .4rem 0; border-bottom: 1px solid var(--hair); font-weight: normal; }
thead th { color: var(--quiet); font-size: .9rem; }
tr.differs td { font-weight: 600; }
.story { border-top: 1px solid var(--hair); padding: 1rem 0 .25rem; }
.story::after { content: ''; display: block; clear: both; }
.story img { float: right; width: min(16rem, 45%); margin: .25rem 0 .75rem 1.25rem; border: 1px solid var(--hair); }
.story .weight { color: var(--ember); font-weight: 600; }
.story .remedy { margin-left: 1rem; border-left: 2px solid var(--ember); padding-left: .9rem; }
.cautions { margin-top: 3rem; border: 1px solid var(--hair); padding: .9rem 1.1rem; }
@media print { body { background: white; color: black; } }
`;

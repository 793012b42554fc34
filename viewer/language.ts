// A browser in a C or POSIX locale may call its language `en-US@posix`, which is no language tag: the charting
// library asks Intl for it while it loads, and the whole page would stay empty. Imported first.
try {
  new Intl.NumberFormat(navigator.language);
} catch {
  Object.defineProperty(navigator, 'language', { value: 'en' });
}

export {};

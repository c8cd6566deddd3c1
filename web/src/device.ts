// What this device keeps for itself: its light, its sound. A browser may refuse to keep anything; then it asks again
// next time, and nothing else is lost.
export function kept(name: string): string | null {
  try {
    return localStorage.getItem(`windrode.${name}`);
  } catch {
    return null;
  }
}

export function keep(name: string, value: string | null): void {
  try {
    if (value === null) localStorage.removeItem(`windrode.${name}`);
    else localStorage.setItem(`windrode.${name}`, value);
  } catch {
    // A private window keeps nothing.
  }
}

// How much paper there is: drawings are made for the width that they get, so that letters keep their size.
import { useEffect, useRef, useState } from "preact/hooks";

export function useWidth(first: number) {
  const ref = useRef<HTMLDivElement>(null);
  const [width, setWidth] = useState(first);
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const watcher = new ResizeObserver(([entry]) => {
      if (entry) setWidth(Math.max(240, Math.floor(entry.contentRect.width)));
    });
    watcher.observe(element);
    return () => watcher.disconnect();
  }, []);
  return { ref, width };
}

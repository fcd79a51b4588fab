/** Where the keyboard goes when something was made. */

/** ms until what was made must be on the page: the check that brings it may have to wait. */
const patience = 6000;

/** The focus goes to the thing of this name ("rail usb", "link tank echo") once it is there, unless it was moved. */
export function focus_made(thing: string) {
    const end = performance.now() + patience;
    let held: Element | null = null;
    const look = () => {
        const here = document.activeElement;
        if (document.querySelector("dialog")) return void (performance.now() < end && requestAnimationFrame(look));
        held ??= here;
        if (here !== held && here !== document.body) return;
        const row = [...document.querySelectorAll<HTMLElement>("[data-thing]")].find((e) => e.dataset.thing === thing);
        const target = row?.querySelector<HTMLElement>("a, button");
        if (target) target.focus();
        else if (performance.now() < end) requestAnimationFrame(look);
    };
    requestAnimationFrame(look);
}

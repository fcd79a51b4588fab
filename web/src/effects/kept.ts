/** Storage of the browser, which may be full or forbidden: then nothing is kept, and nothing breaks. */
type Place = () => Storage;
const browser: Place = () => localStorage;
/** Storage that ends with the tab. */
export const tab: Place = () => sessionStorage;

export function kept(key: string, place = browser): string | null {
    try {
        return place().getItem(key);
    } catch {
        return null;
    }
}

export function keep(key: string, text: string | null, place = browser) {
    try {
        if (text === null) place().removeItem(key);
        else place().setItem(key, text);
    } catch {
        /* not kept */
    }
}

/** Storage of the browser, which may be full or forbidden: then nothing is kept, and nothing breaks. */
export function kept(key: string): string | null {
    try {
        return localStorage.getItem(key);
    } catch {
        return null;
    }
}

export function keep(key: string, text: string | null) {
    try {
        if (text === null) localStorage.removeItem(key);
        else localStorage.setItem(key, text);
    } catch {
        /* not kept */
    }
}

/** 32 hexadecimal digits that nobody else has drawn. */
export const name_of_its_own = (): string =>
    Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");

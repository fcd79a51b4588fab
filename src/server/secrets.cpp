#include "server/secrets.h"

#include <fmt/format.h>
#include <sodium.h>

#include <cstdlib>
#include <mutex>

namespace voltsill::server {
namespace {

void ready() {
    static const bool begun = sodium_init() >= 0;
    if (!begun) std::abort();  // without randomness there are no secrets
}

std::string digest(std::string_view text, std::string_view key) {
    ready();
    unsigned char out[crypto_generichash_BYTES];
    crypto_generichash(out, sizeof out, reinterpret_cast<const unsigned char*>(text.data()), text.size(),
                       key.empty() ? nullptr : reinterpret_cast<const unsigned char*>(key.data()), key.size());
    std::string words(2 * sizeof out + 1, '\0');
    sodium_bin2hex(words.data(), words.size(), out, sizeof out);
    words.pop_back();
    return words;
}

constexpr std::string_view code_letters = "23456789ABCDEFGHJKMNPQRSTVWXYZ";
constexpr std::size_t code_length = 8;

/// One at a time: each takes 64 MiB.
std::mutex one_passphrase_at_a_time;

}  // namespace

std::string hash_of(std::string_view secret) { return digest(secret, {}); }
std::string token_of(std::string_view secret) { return digest(secret, "voltsill token of a page"); }

std::string passphrase_hash(std::string_view passphrase) {
    ready();
    const std::lock_guard lock(one_passphrase_at_a_time);
    char out[crypto_pwhash_STRBYTES];
    const int result = crypto_pwhash_str_alg(out, passphrase.data(), passphrase.size(),
                                             crypto_pwhash_OPSLIMIT_INTERACTIVE, crypto_pwhash_MEMLIMIT_INTERACTIVE,
                                             crypto_pwhash_ALG_ARGON2ID13);
    return result == 0 ? std::string(out) : std::string();
}

bool is_passphrase(const std::string& hash, std::string_view passphrase) {
    ready();
    const std::lock_guard lock(one_passphrase_at_a_time);
    return crypto_pwhash_str_verify(hash.c_str(), passphrase.data(), passphrase.size()) == 0;
}

std::string random_join_code() {
    ready();
    std::string out;
    for (std::size_t k = 0; k < code_length; ++k) {
        if (k == code_length / 2) out += '-';
        out += code_letters[randombytes_uniform(static_cast<std::uint32_t>(code_letters.size()))];
    }
    return out;
}

std::string plain_code(std::string_view typed) {
    std::string out;
    for (const char c : typed)
        if (c != ' ' && c != '-') out += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    return out;
}

}  // namespace voltsill::server

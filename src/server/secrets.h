#pragma once
/// Secrets of the hall. Learners' and instructors' secrets are 256 random bits and kept only as their BLAKE2b
/// hash (RFC 7693); the passphrase, which people choose, as Argon2id (RFC 9106) by libsodium.
#include <string>
#include <string_view>

namespace voltsill::server {

/// Of a random secret: 64 hexadecimal digits.
std::string hash_of(std::string_view secret);
/// The word that a page says again with whatever it changes: made from the secret of its cookie, which no other
/// page can read, so that the server need keep none.
std::string token_of(std::string_view secret);

inline constexpr std::size_t shortest_passphrase = 12, longest_passphrase = 256;
/// 64 MiB and some tenths of a second; empty: there is not so much memory.
std::string passphrase_hash(std::string_view passphrase);
/// Takes the same time for a right and a wrong one.
bool is_passphrase(const std::string& hash, std::string_view passphrase);

/// Eight letters and digits of thirty that nobody confuses, "K7QM-4TXP": 39 bits.
std::string random_join_code();
/// As it is compared: letters large, without blanks and dashes.
std::string plain_code(std::string_view typed);

}  // namespace voltsill::server

#pragma once
/// Good requests made bad.
#include <random>
#include <string>

namespace voltsill::testing {

using Random = std::mt19937;
inline std::size_t below(Random& random, std::size_t n) { return n == 0 ? 0 : random() % n; }

/// One change of a request: bytes changed, cut out, doubled, or words that parsers fear.
inline std::string mutated(std::string text, Random& random) {
    static const char* const words[] = {
        "\r\n", "\r\n\r\n", "\n", "\r", " ", ":", "Content-Length: 99999999999999999999\r\n",
        "Content-Length: -1\r\n", "Content-Length: 0\r\n", "Transfer-Encoding: chunked\r\n", "Host: 127.0.0.1\r\n",
        "Expect: 100-continue\r\n", "Connection: upgrade\r\n", "HTTP/0.9", "HTTP/9.9", "%00", "%", "%zz", "../",
        "?a=b&&==", "ffffffffffffffff\r\n", "\xff\xfe", "{\"text\":", "[[[[[[[[[[[[[[[[", "\\ud800", "1e999"};
    const int changes = 1 + static_cast<int>(below(random, 4));
    for (int k = 0; k < changes; ++k) {
        const std::size_t at = below(random, text.size() + 1);
        switch (below(random, 5)) {
            case 0:
                if (at < text.size()) text[at] = static_cast<char>(random());
                break;
            case 1:
                text.erase(at, below(random, 20));
                break;
            case 2:
                text.insert(at, text.substr(below(random, text.size() + 1), below(random, 60)));
                break;
            case 3:
                text.insert(at, words[below(random, std::size(words))]);
                break;
            default:
                text.resize(at);
        }
    }
    return text;
}

}  // namespace voltsill::testing

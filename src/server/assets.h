#pragma once
/// The page as it travels inside the program: index.html, scripts, style and pictures, built from web/ and
/// written by cmake/web.cmake into one source that defines `voltsill_assets`.
///
/// In index.html the words `__VOLTSILL_TOKEN__` and `__VOLTSILL_NONCE__` stand for what the server fills
/// in with every answer: the token of its writes, and the nonce of styles that scripts add.
#include <span>
#include <string_view>

namespace voltsill {

struct Asset {
    std::string_view path;   ///< "index.html", "assets/page-1a2b3c4d.js": without a slash in front
    std::string_view type;   ///< media type with its charset: "text/javascript; charset=utf-8"
    std::string_view bytes;
    bool hashed = false;     ///< the name changes with the bytes: a browser may keep it for good
};

/// The pages are "index.html", and of a class "class.html" and "instructor.html"; they are always there.
std::span<const Asset> voltsill_assets();

}  // namespace voltsill

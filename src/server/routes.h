#pragma once
/// Every call there is, as one table. docs/openapi.json describes the same calls for people and programs;
/// a test holds the two against each other.
#include <cstddef>
#include <span>
#include <string_view>

#include "server/site.h"

namespace voltsill::server {

/// Where a call is answered.
enum class Runs {
    at_once,   ///< by the serving thread: microseconds
    brief,     ///< by a worker: a check, a file
    lengthy,   ///< by a worker, behind what is brief: a placement, many samples
    recorded,  ///< by the desk of the hall: acknowledged when it is on the disk
};

struct Route {
    std::string_view method, path;  ///< a path that ends in '*' holds for everything it begins
    For whom = For::maker;
    Runs runs = Runs::at_once;
    bool needs_token = false;
    std::size_t most_body = 0;  ///< bytes
    Answer (*answer)(Call&) = nullptr;
};

std::span<const Route> routes();

/// The call; or 404, or 405 with what is allowed.
std::expected<const Route*, Answer> route_of(std::string_view method, std::string_view path);

/// Everything that is known before the body: guard, route, role, token, type and stated size of the body.
std::expected<const Route*, Answer> admitted(const Guard& guard, const Head& head, const Identity& who = {});

}  // namespace voltsill::server

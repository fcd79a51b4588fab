// Who may ask, without a socket: every rule of the contract as a row.
#include <gtest/gtest.h>

#include "server/routes.h"

namespace {
using namespace voltsill::server;

const Guard guard{8190, std::string(64, 'a')};

Head get(std::vector<std::pair<std::string, std::string>> headers, std::string path = "/api/about") {
    return {.method = "GET", .path = std::move(path), .headers = std::move(headers)};
}

int status_of(const Head& head, const Identity& who = {}) {
    const auto route = admitted(guard, head, who);
    return route ? 200 : route.error().status;
}

struct GuardCase {
    int status;
    std::vector<std::pair<std::string, std::string>> headers;
};

TEST(Guard, HostOriginAndSite) {
    const std::pair<std::string, std::string> host = {"host", "127.0.0.1:8190"};
    const GuardCase cases[] = {
        {200, {host}},
        {200, {{"host", "localhost:8190"}}},
        {200, {{"host", "LocalHost:8190"}}},
        {200, {{"host", "[::1]:8190"}}},
        {403, {}},
        {403, {{"host", ""}}},
        {403, {{"host", "127.0.0.1"}}},
        {403, {{"host", "127.0.0.1:8191"}}},
        {403, {{"host", "127.0.0.1:8190 "}}},
        {403, {{"host", "127.0.0.1:08190"}}},
        {403, {{"host", "127.0.0.2:8190"}}},
        {403, {{"host", "0.0.0.0:8190"}}},
        {403, {{"host", "localhost.:8190"}}},
        {403, {{"host", "rebound.example:8190"}}},
        {403, {{"host", "127.0.0.1:8190.rebound.example"}}},
        {403, {host, host}},
        {403, {host, {"host", "rebound.example"}}},
        {200, {host, {"origin", "http://127.0.0.1:8190"}}},
        {403, {host, {"origin", "HTTP://127.0.0.1:8190"}}},  // browsers write it small (WHATWG URL)
        {403, {host, {"origin", "http://localhost:8190"}}},  // another origin, though the same machine
        {403, {host, {"origin", "https://127.0.0.1:8190"}}},
        {403, {host, {"origin", "http://127.0.0.1:3000"}}},
        {403, {host, {"origin", "http://elsewhere.example"}}},
        {403, {host, {"origin", "http://127.0.0.1:8190.elsewhere.example"}}},
        {403, {host, {"origin", "null"}}},
        {403, {host, {"origin", ""}}},
        {403, {host, {"origin", "http://127.0.0.1:8190"}, {"origin", "http://elsewhere.example"}}},
        {200, {host, {"sec-fetch-site", "same-origin"}}},
        {200, {host, {"sec-fetch-site", "none"}}},
        {403, {host, {"sec-fetch-site", "cross-site"}}},
        {403, {host, {"sec-fetch-site", "same-site"}}},
        {403, {host, {"sec-fetch-site", "anything"}}},
    };
    for (const GuardCase& c : cases) {
        std::string words;
        for (const auto& [name, value] : c.headers) words += name + ": " + value + "; ";
        EXPECT_EQ(status_of(get(c.headers)), c.status) << words;
    }
}

TEST(Guard, PortEightyNeedsNotBeNamed) {
    // RFC 9110, 4.2.3: the default port may be left out.
    const Guard plain{80, "t"};
    EXPECT_FALSE(plain.objection(get({{"host", "127.0.0.1"}})));
    EXPECT_FALSE(plain.objection(get({{"host", "127.0.0.1:80"}})));
    EXPECT_TRUE(plain.objection(get({{"host", "127.0.0.1:8190"}})));
}

Identity one_who_may(For whom) {
    if (whom == For::maker || whom == For::everyone) return {};
    return {.role = whom == For::learner ? Role::learner : Role::instructor, .in_class = true, .token = guard.token};
}

TEST(Guard, EverythingButReadingNeedsTheToken) {
    for (const Route& route : routes()) {
        // Who joins or signs in has no token yet; what they send is JSON, so no form of a foreign page can.
        const bool begins = route.path == "/api/class/join" || route.path == "/api/class/sign-in";
        EXPECT_EQ(route.needs_token, route.method != "GET" && !begins) << route.path;
        if (!route.needs_token) continue;
        const Identity who = one_who_may(route.whom);
        for (const auto& [token, status] : std::vector<std::pair<std::string, int>>{
                 {guard.token, 200}, {"", 401}, {"a", 401}, {guard.token + "a", 401}, {std::string(64, 'b'), 401},
                 {std::string(63, 'a') + "b", 401}, {"b" + std::string(63, 'a'), 401}}) {
            Head head = get({{"host", "127.0.0.1:8190"}, {"content-type", "application/json"},
                             {"x-voltsill-token", token}}, std::string(route.path));
            head.method = route.method;
            EXPECT_EQ(status_of(head, who), status) << route.path << " " << token;
        }
        Head head = get({{"host", "127.0.0.1:8190"}, {"content-type", "application/json"}}, std::string(route.path));
        head.method = route.method;
        EXPECT_EQ(status_of(head, who), 401) << "no token at all";
        head.headers.insert(head.headers.end(), 2, {"x-voltsill-token", guard.token});
        EXPECT_EQ(status_of(head, who), 401) << "twice";
    }
}

TEST(Guard, BodiesAreJsonAndNotTooLarge) {
    const auto post = [](const std::string& type, const std::string& length) {
        Head head = get({{"host", "127.0.0.1:8190"}, {"x-voltsill-token", guard.token}, {"content-length", length}},
                        "/api/check");
        head.method = "POST";
        if (!type.empty()) head.headers.emplace_back("content-type", type);
        return status_of(head);
    };
    EXPECT_EQ(post("application/json", "10"), 200);
    EXPECT_EQ(post("application/json; charset=utf-8", "10"), 200);
    // The three types a form of a foreign page can send (Fetch Standard, "CORS-safelisted request-header").
    for (const char* type : {"", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data",
                             "application/jsonx"})
        EXPECT_EQ(post(type, "10"), 415) << type;
    EXPECT_EQ(post("application/json", "8388608"), 200);
    EXPECT_EQ(post("application/json", "8388609"), 413);
    EXPECT_EQ(post("application/json", "18446744073709551615"), 413);
    Head bodied = get({{"host", "127.0.0.1:8190"}, {"content-length", "1"}});
    EXPECT_EQ(status_of(bodied), 413) << "GET has no body here";
}

TEST(Guard, PathsAndMethods) {
    const auto status = [](const char* method, const char* path) {
        Head head = get({{"host", "127.0.0.1:8190"}}, path);
        head.method = method;
        return status_of(head);
    };
    EXPECT_EQ(status("GET", "/"), 200);
    EXPECT_EQ(status("HEAD", "/"), 200);
    EXPECT_EQ(status("GET", "/assets/x"), 200);
    EXPECT_EQ(status("GET", "/assets"), 404);
    EXPECT_EQ(status("GET", "/api/check"), 405);
    EXPECT_EQ(status("DELETE", "/api/file"), 405);
    EXPECT_EQ(status("OPTIONS", "/api/file"), 405);
    EXPECT_EQ(status("GET", "/api/nonsense"), 404);
    EXPECT_EQ(status("GET", "//api/about"), 404);
    EXPECT_EQ(status("GET", "/../etc/passwd"), 404);
    EXPECT_EQ(status("GET", ""), 404);
    const auto other = route_of("DELETE", "/api/file");
    ASSERT_FALSE(other);
    // RFC 9110, 15.5.6: 405 lists what is allowed.
    EXPECT_EQ(other.error().headers, (std::vector<std::pair<std::string, std::string>>{{"Allow", "GET, PUT"}}));
}

TEST(Guard, SecretsAreLongAndDiffer) {
    const std::string a = random_words(), b = random_words();
    EXPECT_EQ(a.size(), 64u);
    EXPECT_NE(a, b);
    EXPECT_TRUE(same_secret(a, a));
    EXPECT_FALSE(same_secret(a, b));
    EXPECT_FALSE(same_secret(a, a.substr(1)));
}

TEST(Guard, EveryAnswerSaysWhatABrowserMayDo) {
    const auto value = [](const Answer& answer, const std::string& name) {
        for (const auto& [key, text] : standing_headers(answer))
            if (key == name) return text;
        return std::string();
    };
    const Answer plain{};
    EXPECT_EQ(value(plain, "Cache-Control"), "no-store");
    EXPECT_EQ(value(plain, "X-Content-Type-Options"), "nosniff");
    EXPECT_EQ(value(plain, "Access-Control-Allow-Origin"), "");
    EXPECT_EQ(value(plain, "Content-Security-Policy").find("script-src"), std::string::npos);
    Answer page;
    page.nonce = "n0";
    const std::string policy = value(page, "Content-Security-Policy");
    for (const char* part : {"default-src 'none'", "script-src 'self';", "style-src 'self' 'nonce-n0'",
                             "frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'"})
        EXPECT_NE(policy.find(part), std::string::npos) << part;
    EXPECT_EQ(policy.find("unsafe"), std::string::npos);
    Answer kept;
    kept.kept = true;
    EXPECT_NE(value(kept, "Cache-Control").find("immutable"), std::string::npos);
}

}  // namespace

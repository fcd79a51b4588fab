#pragma once
/// A class that is held, with people in it.
#include <sstream>

#include "served.h"
#include "server/hall.h"

namespace voltsill::testing {

inline const std::string passphrase = "four words that do not belong";

/// Somebody with a browser of their own: its cookie, and the token it was told.
class Person {
  public:
    explicit Person(int port, std::string token = {}) : port_(port), token_(std::move(token)) {}
    int port() const { return port_; }
    Reply call(const std::string& method, const std::string& target, const nlohmann::json& body = nullptr,
               const Headers& more = {}) {
        Client client(port_);
        client.send(bytes(method, target, body, more));
        Reply reply = client.reply();
        if (const auto cookies = reply.headers.find("set-cookie"); cookies != reply.headers.end()) {
            std::istringstream lines(cookies->second);
            for (std::string line; std::getline(lines, line);)  // what a device is known by opens nothing
                if (!line.starts_with("voltsill-known=")) cookie_ = line.substr(0, line.find(';'));
        }
        const nlohmann::json said = reply.json();
        if (said.is_object() && said.contains("token") && said["token"].is_string()) token_ = said["token"];
        return reply;
    }
    Reply get(const std::string& target) { return call("GET", target); }
    Reply post(const std::string& target, const nlohmann::json& body = nlohmann::json::object()) {
        return call("POST", target, body);
    }
    std::string bytes(const std::string& method, const std::string& target, const nlohmann::json& body = nullptr,
                      const Headers& more = {}) const {
        Headers all = {{"Cookie", cookie_}, {"X-Voltsill-Token", token_}};
        all.insert(all.end(), more.begin(), more.end());
        return request_bytes(port_, method, target, body.is_null() ? "" : body.dump(), all);
    }
    /// A stream of events, its head read.
    Client listen(const std::string& target) const {
        Client client(port_);
        client.send(bytes("GET", target));
        EXPECT_EQ(client.head().status, 200) << target;
        return client;
    }
    bool join(const std::string& code, const std::string& nickname) {
        return post("/api/class/join", {{"code", code}, {"nickname", nickname}}).status == 200;
    }
    bool sign_in() { return post("/api/class/sign-in", {{"passphrase", passphrase}}).status == 200; }
    const std::string& cookie() const { return cookie_; }
    const std::string& token() const { return token_; }
    bool signed_in() { return get("/api/class/who").json()["role"] == "instructor"; }

  private:
    int port_;
    std::string cookie_, token_;
};

inline server::ServerOptions class_options(const std::string& store, server::HallLimits limits = {}) {
    server::ServerOptions options;
    options.hall = server::HallOptions{.store = store, .passphrase = passphrase, .limits = limits, .diagnosis = false};
    return options;
}

class Classroom {
  public:
    explicit Classroom(server::HallLimits limits = {}, const std::string& bench = "first-bench")
        : served(class_options(kept.path("class.sqlite"), limits), example_text(bench)), instructor(served.port()) {
        EXPECT_TRUE(instructor.sign_in());
        code = instructor.get("/api/class/room").json()["code"];
    }
    Person person() const { return Person(served.port()); }
    Person learner(const std::string& nickname) const {
        Person person(served.port());
        EXPECT_TRUE(person.join(code, nickname)) << nickname;
        return person;
    }
    nlohmann::json room() { return instructor.get("/api/class/room").json(); }
    nlohmann::json row(const std::string& nickname) {
        const nlohmann::json now = room();
        for (const nlohmann::json& row : now["learners"])
            if (row["nickname"] == nickname) return row;
        return nullptr;
    }
    Reply act(const std::string& nickname, const std::string& what, int gate = 1) {
        return instructor.post("/api/class/learner", {{"learner", row(nickname)["id"]}, {"do", what}, {"gate", gate}});
    }
    /// What a right reading of each check is, from the instructor's answers; by gate.
    nlohmann::json checks(const std::string& nickname) {
        return instructor.get("/api/class/learner?learner=" + std::to_string(row(nickname)["id"].get<int>()))
            .json()["checks"];
    }

    Folder kept;
    Served served;
    Person instructor;
    std::string code;
};

}  // namespace voltsill::testing

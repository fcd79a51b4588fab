#pragma once
/// A server of a folder of its own, and calls to it.
#include <gtest/gtest.h>

#include "client.h"
#include "server/server.h"
#include "support/program.h"

namespace voltsill::testing {

inline const std::string small_bench = R"(title = "Small"
[rails]
logic = { volts = "3.3 V ± 3 %" }
usb = { volts = "5 V ± 5 %" }
[parts]
board = { type = "controller-3v3", supply = "logic" }
)";

inline std::string text_of(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}
inline std::string example_text(const std::string& name) {
    return text_of(std::string(VOLTSILL_ROOT) + "/examples/" + name + ".toml");
}

/// `options.path` is the folder unless it names a file of it; with `bench` that is a file of this text.
class Served {
  public:
    explicit Served(server::ServerOptions options = {}, const std::string& bench = {}) {
        if (!bench.empty()) folder_.write(options.path = "bench.toml", bench);
        options.path = folder_.path(options.path == "." ? "" : options.path);
        options.version = "0";
        if (!options.port) options.port = 0;
        auto started = server::Server::start(options);
        if (started) server_ = std::move(*started);
        EXPECT_TRUE(server_) << (started ? "" : started.error());
    }
    int port() const { return server_->port(); }
    server::Server& server() { return *server_; }
    const Folder& folder() const { return folder_; }
    Headers with_token(Headers more = {}) const {
        more.insert(more.begin(), {"X-Voltsill-Token", server_->token()});
        return more;
    }
    std::string bytes(const std::string& method, const std::string& target, const std::string& body = {}) const {
        return request_bytes(port(), method, target, body, with_token());
    }
    Client sent(const std::string& bytes) const {
        Client client(port());
        client.send(bytes);
        return client;
    }
    Reply get(const std::string& target, const Headers& more = {}) const {
        return sent(request_bytes(port(), "GET", target, {}, more)).reply();
    }
    Reply call(const std::string& method, const std::string& target, const nlohmann::json& body) const {
        return sent(bytes(method, target, body.dump())).reply();
    }
    Reply post(const std::string& target, const nlohmann::json& body) const { return call("POST", target, body); }
    Reply save(const std::string& path, const std::string& text, const nlohmann::json& base) const {
        return call("PUT", "/api/file?path=" + path, {{"text", text}, {"base", base}});
    }

  private:
    Folder folder_;
    std::unique_ptr<server::Server> server_;
};

}  // namespace voltsill::testing

#pragma once
/// What `serve --class` adds: where it is reached, where it keeps, and the instructor's passphrase.
#include "cli/serve.h"
#include "server/server.h"

namespace voltsill::cli {

void add_class_options(CLI::App& app, ServeCommand& command);
/// Files read, passphrase asked for where none is kept yet; false and a complaint when it cannot be.
bool class_options(const ServeCommand& command, server::ServerOptions& options);
/// Where learners and the instructor go, and loudly what is not secret.
void announce_class(const ServeCommand& command, const server::Server& server);

}  // namespace voltsill::cli

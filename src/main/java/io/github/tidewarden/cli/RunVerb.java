package io.github.tidewarden.cli;

import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.daemon.Daemon;
import io.github.tidewarden.daemon.Exit;
import java.nio.file.Path;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code run}: the daemon, until it is told to stop. */
@Command(name = "run", description = "Runs the daemon until it is stopped.")
final class RunVerb extends Verb {
  @Option(names = "--config", required = true, paramLabel = "FILE", description = "The site.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Override
  Exit go() throws Exception {
    Configuration configuration = read(config);
    configuration.notices().forEach(notice -> err().println("note: " + notice));
    err().flush();
    Daemon daemon = Daemon.start(configuration, new LoggingWatcher());
    Thread stop = new Thread(() -> daemon.stop("the daemon was told to stop", Exit.OK), "stop");
    Runtime.getRuntime().addShutdownHook(stop);
    Exit exit = daemon.awaitEnd();
    try {
      Runtime.getRuntime().removeShutdownHook(stop);
      daemon.close();
    } catch (IllegalStateException stopping) {
      // The machine stops this process; the hook is closing the daemon.
      stop.join();
    }
    return exit;
  }
}

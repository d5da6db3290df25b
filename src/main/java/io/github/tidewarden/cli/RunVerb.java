package io.github.tidewarden.cli;

import io.github.tidewarden.config.CheckText;
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
    err().println("note: time-zone data " + CheckText.zoneData());
    configuration.notices().forEach(notice -> err().println("note: " + notice));
    err().flush();
    Daemon daemon = Daemon.start(configuration, new LoggingWatcher());
    Thread stop = new Thread(() -> end(daemon), "stop");
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

  /** Without the halt, the exit code would be that of the signal whatever was done about it. */
  private static void end(Daemon daemon) {
    Exit exit = daemon.stop("the daemon was told to stop", Exit.OK);
    Runtime.getRuntime().halt(exit.code());
  }
}

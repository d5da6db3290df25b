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

  @Option(
      names = "--watch-only",
      description = "Decides and records, but commands nothing, not even rest.")
  private boolean watchOnly;

  @Override
  Exit go() throws Exception {
    Configuration configuration = read(config, watchOnly);
    err().println("note: time-zone data " + CheckText.zoneData());
    configuration.notices().forEach(notice -> err().println("note: " + notice));
    if (watchOnly) {
      err()
          .println(
              "note: watch-only: nothing is commanded; what it would do is told below tidewarden/"
                  + configuration.site().name()
                  + "/ and kept in "
                  + configuration.stateDir());
    }
    err().flush();
    Daemon daemon = Daemon.start(configuration, new LoggingWatcher(watchOnly));
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

package io.github.tidewarden.cli;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.daemon.DaemonException;
import io.github.tidewarden.daemon.Exit;
import java.io.PrintWriter;
import java.util.concurrent.Callable;
import picocli.CommandLine;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Spec;

/** What all verbs share: where they write, and how they fail. */
@CommandLine.Command(mixinStandardHelpOptions = true)
abstract class Verb implements Callable<Integer> {
  @Spec
  @SuppressWarnings("NullAway.Init") // set by picocli
  CommandSpec spec;

  /** What the verb does. */
  abstract Exit go() throws Exception;

  @Override
  public final Integer call() throws Exception {
    try {
      Exit exit = go();
      out().flush();
      return exit.code();
    } catch (ConfigException e) {
      err().println(e.getMessage());
      return Exit.CONFIG.code();
    } catch (DaemonException e) {
      err().println("tidewarden: " + e.getMessage());
      return e.exit().code();
    } catch (java.io.IOException e) {
      err().println("tidewarden: " + Trouble.of(e));
      return Exit.IO.code();
    }
  }

  PrintWriter out() {
    return spec.commandLine().getOut();
  }

  PrintWriter err() {
    return spec.commandLine().getErr();
  }

  static Configuration read(java.nio.file.Path file) throws ConfigException {
    return ConfigReader.read(file);
  }

  /** A configuration, or the same to watch only. */
  static Configuration read(java.nio.file.Path file, boolean watchOnly) throws ConfigException {
    Configuration configuration = read(file);
    return watchOnly ? configuration.toWatchOnly() : configuration;
  }
}

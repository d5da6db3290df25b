package io.github.tidewarden.system;

import java.io.File;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.stream.Collectors;

/** One verb of the program in a process of its own. */
final class DaemonProcess implements AutoCloseable {
  private static final Duration PATIENCE = Duration.ofSeconds(60);

  private final Process process;
  private final Path out;
  private final Path err;

  private DaemonProcess(Process process, Path out, Path err) {
    this.process = process;
    this.out = out;
    this.err = err;
  }

  /** Starts a verb; what it says goes into files in a directory. */
  static DaemonProcess start(Path directory, String... arguments) {
    return startUnder(List.of(), directory, arguments);
  }

  /** The same under a program that becomes it, such as {@code env NAME=VALUE}. */
  static DaemonProcess startUnder(List<String> wrapper, Path directory, String... arguments) {
    List<String> command = new ArrayList<>(wrapper);
    command.addAll(java(classPath(), "io.github.tidewarden.cli.Tidewarden", arguments));
    return start(directory, command);
  }

  /** Starts a program of the tests' own in the same way. */
  static DaemonProcess startMain(Path directory, Class<?> main, String... arguments) {
    return start(directory, java(wholeClassPath(), main.getName(), arguments));
  }

  /** The same with other options for Java. */
  static DaemonProcess startMain(Path directory, List<String> options, Class<?> main) {
    return start(directory, java(options, wholeClassPath(), main.getName()));
  }

  private static List<String> java(String classPath, String main, String... arguments) {
    return java(
        List.of("-Xmx64m", "-XX:+UseSerialGC", "-XX:TieredStopAtLevel=1"),
        classPath,
        main,
        arguments);
  }

  private static List<String> java(
      List<String> options, String classPath, String main, String... arguments) {
    List<String> command = new ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.addAll(options);
    command.addAll(List.of("-cp", classPath, main));
    command.addAll(List.of(arguments));
    return command;
  }

  private static DaemonProcess start(Path directory, List<String> command) {
    try {
      Path out = Files.createTempFile(directory, "daemon", ".out");
      Path err = Files.createTempFile(directory, "daemon", ".err");
      Process process =
          new ProcessBuilder(command)
              .redirectOutput(out.toFile())
              .redirectError(err.toFile())
              .start();
      return new DaemonProcess(process, out, err);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** The tests' own class path without the tests, whose logging would take the daemon's place. */
  private static String classPath() {
    return Arrays.stream(wholeClassPath().split(File.pathSeparator))
        .filter(entry -> !entry.endsWith("test-classes") && !entry.endsWith("test-classes/"))
        .collect(Collectors.joining(File.pathSeparator));
  }

  private static String wholeClassPath() {
    return System.getProperty("surefire.test.class.path", System.getProperty("java.class.path"));
  }

  boolean isAlive() {
    return process.isAlive();
  }

  long pid() {
    return process.pid();
  }

  /** Sends a signal, such as {@code STOP}. */
  void signal(String name) {
    Children.signal(process, name);
  }

  /** {@code kill -9}; when it was sent, monotonic. */
  long kill() {
    long now = System.nanoTime();
    process.destroyForcibly();
    Children.awaitEnd(process, PATIENCE);
    return now;
  }

  /** Waits until it ends by itself; its exit code. */
  int awaitExit() {
    return Children.awaitEnd(process, PATIENCE);
  }

  String out() {
    return text(out);
  }

  String err() {
    return text(err);
  }

  private static String text(Path file) {
    try {
      return Files.readString(file);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  @Override
  public void close() {
    process.destroyForcibly();
    Children.awaitEnd(process, PATIENCE);
  }
}

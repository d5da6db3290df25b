package io.github.tidewarden.system;

import com.fasterxml.jackson.databind.JsonNode;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.ClosedWatchServiceException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardWatchEventKinds;
import java.nio.file.WatchKey;
import java.nio.file.WatchService;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.function.Consumer;
import java.util.stream.Stream;

/** Follows an audit while daemons write it, and says each record as soon as it is written. */
final class AuditTail implements AutoCloseable {
  private final Path directory;
  private final Consumer<JsonNode> listener;
  private final Map<Path, Integer> read = new HashMap<>();
  private final WatchService watch;

  /** Hands every record on that is written from now on. */
  AuditTail(Path directory, Consumer<JsonNode> listener) {
    this.directory = directory;
    this.listener = listener;
    try {
      Files.createDirectories(directory);
      watch = directory.getFileSystem().newWatchService();
      directory.register(
          watch, StandardWatchEventKinds.ENTRY_CREATE, StandardWatchEventKinds.ENTRY_MODIFY);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    Thread thread = new Thread(this::follow, "audit-tail");
    thread.setDaemon(true);
    thread.start();
  }

  private void follow() {
    try {
      while (true) {
        WatchKey changed = watch.take();
        changed.pollEvents();
        changed.reset();
        for (Path segment : segments()) {
          look(segment);
        }
      }
    } catch (ClosedWatchServiceException closed) {
      // The test is over.
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private List<Path> segments() throws IOException {
    try (Stream<Path> files = Files.list(directory)) {
      return files.filter(file -> file.toString().endsWith(".jsonl")).sorted().toList();
    }
  }

  private void look(Path segment) throws IOException {
    try {
      if (Files.size(segment) > read.getOrDefault(segment, 0)) {
        take(segment, Files.readAllBytes(segment));
      }
    } catch (NoSuchFileException setAside) {
      // A start has found nothing whole in it.
    }
  }

  /** Whole lines that are new; what a crash tore is cut off by the next start. */
  private void take(Path segment, byte[] bytes) {
    int from = read.getOrDefault(segment, 0);
    for (int at = from; at < bytes.length; at++) {
      if (bytes[at] == '\n') {
        String line = new String(bytes, from, at - from, StandardCharsets.UTF_8);
        from = at + 1;
        read.put(segment, from);
        listener.accept(Bystander.json(line));
      }
    }
  }

  @Override
  public void close() {
    try {
      watch.close();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}

package io.github.tidewarden.audit;

import java.io.IOException;
import java.io.InputStream;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.charset.StandardCharsets;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.LinkOption;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.BasicFileAttributes;
import java.util.ArrayList;
import java.util.List;

/** The audit's files in a real directory. */
public final class DirectoryFiles implements AuditFiles {

  private static final String BEGUN = "audit-begun";
  private static final byte[] BEGUN_TEXT =
      "An audit was begun beside this file. Found without it, every tank starts latched.\n"
          .getBytes(StandardCharsets.UTF_8);
  private static final String SET_ASIDE = "set-aside";
  private static final int MOST_OF_ONE_NAME = 1_000;

  private final Path directory;
  private final Path begun;

  /**
   * Files in {@code directory}, which is made on the first write if it is not there. That a log was
   * begun is noted in {@code audit-begun} beside it.
   */
  public DirectoryFiles(Path directory) {
    this.directory = directory;
    begun = directory.resolveSibling(BEGUN);
  }

  @Override
  public List<String> list() throws IOException {
    List<String> names = new ArrayList<>();
    try (DirectoryStream<Path> entries = Files.newDirectoryStream(directory)) {
      for (Path entry : entries) {
        if (Files.isRegularFile(entry, LinkOption.NOFOLLOW_LINKS)) {
          names.add(String.valueOf(entry.getFileName()));
        }
      }
    } catch (NoSuchFileException e) {
      return List.of();
    }
    return names;
  }

  @Override
  public InputStream read(String name) throws IOException {
    return Files.newInputStream(directory.resolve(name));
  }

  @Override
  public Appender create(String name) throws IOException {
    makeDirectory(directory);
    FileChannel channel =
        FileChannel.open(
            directory.resolve(name), StandardOpenOption.CREATE_NEW, StandardOpenOption.APPEND);
    return new Appender() {
      @Override
      public void append(byte[] bytes) throws IOException {
        writeAll(channel, ByteBuffer.wrap(bytes));
      }

      @Override
      public void force() throws IOException {
        channel.force(true);
      }

      @Override
      public void close() throws IOException {
        channel.close();
      }
    };
  }

  @Override
  public void force(String name) throws IOException {
    force(directory.resolve(name));
  }

  @Override
  public void syncDirectory() throws IOException {
    force(directory);
  }

  @Override
  public void remove(String name) throws IOException {
    Files.delete(directory.resolve(name));
  }

  @Override
  public String setAside(String name, long offset) throws IOException {
    Path aside = directory.resolve(SET_ASIDE);
    makeDirectory(aside);
    Path from = directory.resolve(name);
    Path to = free(aside, name + "." + offset);
    copy(from, offset, to);
    force(aside);
    if (offset == 0) {
      Files.delete(from);
    } else {
      try (FileChannel channel = FileChannel.open(from, StandardOpenOption.WRITE)) {
        channel.truncate(offset);
        channel.force(true);
      }
    }
    syncDirectory();
    return SET_ASIDE + "/" + to.getFileName();
  }

  @Override
  public void markBegun() throws IOException {
    if (isBegun()) {
      return;
    }
    try (FileChannel channel =
        FileChannel.open(begun, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE)) {
      writeAll(channel, ByteBuffer.wrap(BEGUN_TEXT));
      channel.force(true);
    } catch (IOException e) {
      Files.deleteIfExists(begun); // half a mark may not be on the disk
      throw e;
    }
    forceParent(begun);
  }

  @Override
  public boolean isBegun() throws IOException {
    try {
      Files.readAttributes(begun, BasicFileAttributes.class, LinkOption.NOFOLLOW_LINKS);
      return true;
    } catch (NoSuchFileException e) {
      return false;
    }
  }

  private static Path free(Path aside, String name) throws IOException {
    for (int i = 0; i < MOST_OF_ONE_NAME; i++) {
      Path path = aside.resolve(i == 0 ? name : name + "." + i);
      if (!Files.exists(path, LinkOption.NOFOLLOW_LINKS)) {
        return path;
      }
    }
    throw new IOException("too many files named " + name + " are set aside");
  }

  private static void copy(Path from, long offset, Path to) throws IOException {
    try (FileChannel out =
            FileChannel.open(to, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE);
        FileChannel in = FileChannel.open(from, StandardOpenOption.READ)) {
      long at = offset;
      long size = in.size();
      while (at < size) {
        at += in.transferTo(at, size - at, out);
      }
      out.force(true);
    } catch (IOException e) {
      Files.deleteIfExists(to); // half a copy would only take the room that is missing
      throw e;
    }
  }

  private static void writeAll(FileChannel channel, ByteBuffer bytes) throws IOException {
    while (bytes.hasRemaining()) {
      channel.write(bytes);
    }
  }

  private static void makeDirectory(Path directory) throws IOException {
    if (!Files.isDirectory(directory)) {
      Files.createDirectories(directory);
      forceParent(directory);
    }
  }

  private static void forceParent(Path path) throws IOException {
    Path parent = path.toAbsolutePath().getParent();
    if (parent != null) {
      force(parent);
    }
  }

  private static void force(Path path) throws IOException {
    try (FileChannel channel = FileChannel.open(path, StandardOpenOption.READ)) {
      channel.force(true);
    }
  }
}

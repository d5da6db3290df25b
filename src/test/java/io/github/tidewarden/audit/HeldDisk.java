package io.github.tidewarden.audit;

import io.github.tidewarden.rehearsal.SimulatedDisk;
import java.io.IOException;
import java.io.InputStream;
import java.util.List;
import java.util.concurrent.CountDownLatch;

/** The disk in memory, behind a door. */
final class HeldDisk implements AuditFiles {
  final SimulatedDisk disk = new SimulatedDisk();
  private volatile CountDownLatch door = new CountDownLatch(0);
  private volatile boolean heldUp;
  private volatile boolean failing;

  void hold() {
    door = new CountDownLatch(1);
  }

  void letGo() {
    door.countDown();
  }

  boolean isHeldUp() {
    return heldUp;
  }

  void fail(boolean fails) {
    failing = fails;
  }

  @Override
  public Appender create(String name) throws IOException {
    CountDownLatch before = door;
    heldUp = before.getCount() > 0;
    try {
      before.await();
    } catch (InterruptedException e) {
      throw new IOException(e);
    }
    heldUp = false;
    if (failing) {
      throw new IOException("no space left on device");
    }
    return disk.create(name);
  }

  @Override
  public List<String> list() throws IOException {
    return disk.list();
  }

  @Override
  public InputStream read(String name) throws IOException {
    return disk.read(name);
  }

  @Override
  public void force(String name) throws IOException {
    disk.force(name);
  }

  @Override
  public void syncDirectory() throws IOException {
    disk.syncDirectory();
  }

  @Override
  public void remove(String name) throws IOException {
    disk.remove(name);
  }

  @Override
  public String setAside(String name, long offset) throws IOException {
    return disk.setAside(name, offset);
  }

  @Override
  public void markBegun() throws IOException {
    disk.markBegun();
  }

  @Override
  public boolean isBegun() {
    return disk.isBegun();
  }
}

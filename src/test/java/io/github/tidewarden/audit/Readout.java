package io.github.tidewarden.audit;

import io.github.tidewarden.audit.AuditReader.Place;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;

/** A whole log read: its sound records without checkpoints, and what was said about it. */
final class Readout implements AuditReader.Visitor {

  final List<AuditRecord> records = new ArrayList<>();
  final List<AuditLine> lines = new ArrayList<>();
  final List<String> unsound = new ArrayList<>();
  final List<String> bad = new ArrayList<>();
  final List<String> notes = new ArrayList<>();

  static Readout of(AuditFiles files) throws IOException {
    Readout readout = new Readout();
    AuditReader.read(files, readout);
    return readout;
  }

  List<String> whys() {
    return records.stream().map(AuditRecord::why).toList();
  }

  @Override
  public void record(Place place, AuditLine line, boolean sound) {
    if (!sound) {
      unsound.add(place.toString());
      return;
    }
    lines.add(line);
    if (line.record().kind() != Kind.CHECKPOINT) {
      records.add(line.record());
    }
  }

  @Override
  public void bad(Place place, String reason) {
    bad.add(place + ": " + reason);
  }

  @Override
  public void note(Place place, String text) {
    notes.add(place + ": " + text);
  }
}

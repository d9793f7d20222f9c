"""How a recording was read, as plain data for JSON: every key carries its unit."""

from __future__ import annotations

from typing import Any

from planner.driving.recording import Recording


def columns_json(recording: Recording) -> list[dict[str, Any]]:
    """Each column that was used: name, meaning, unit, refresh_interval_s or None, how."""
    return [
        {
            "name": column.name,
            "meaning": column.meaning,
            "unit": column.unit,
            "refresh_interval_s": column.refresh_interval_s,
            "how": column.how,
        }
        for column in recording.columns
    ]


def gaps_json(recording: Recording) -> list[dict[str, Any]]:
    """Each gap: start_s, duration_s, reason."""
    return [{"start_s": g.start_s, "duration_s": g.duration_s, "reason": g.reason} for g in recording.gaps]


def recording_json(recording: Recording) -> dict[str, Any]:
    """How a recording was read: columns, gaps, durations, kind of pressure, air outside, spikes and notices."""
    return {
        "file": recording.trace.name,
        "duration_s": recording.trace.duration,
        "recorded_s": recording.trace.recorded,
        "boost_known": recording.boost_known,
        "cornering_known": recording.trace.cornering_known,
        "absolute": recording.absolute,
        "ambient_kPa": recording.ambient / 1e3,
        "ambient_how": recording.ambient_how,
        "spikes_removed": recording.spikes_removed,
        "columns": columns_json(recording),
        "gaps": gaps_json(recording),
        "notices": list(recording.notices),
    }

// R2002
Report.Note(TimeZoneInfo.Local.Id);

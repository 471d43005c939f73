// R2002 source
Report.Note(nameof(System.IO.File.Delete));

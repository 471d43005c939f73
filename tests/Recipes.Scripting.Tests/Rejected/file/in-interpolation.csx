// R2002
Report.Note($"{System.IO.File.ReadAllText("/etc/passwd")}");

// R2002
bool there = new System.IO.FileInfo("/etc/passwd").Exists;

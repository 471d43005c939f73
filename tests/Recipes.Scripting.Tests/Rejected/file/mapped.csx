// R2002
var map = System.IO.MemoryMappedFiles.MemoryMappedFile.CreateFromFile("/etc/passwd");

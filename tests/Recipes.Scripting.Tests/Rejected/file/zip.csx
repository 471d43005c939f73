// R2002
System.IO.Compression.ZipFile.ExtractToDirectory("a.zip", "/tmp");

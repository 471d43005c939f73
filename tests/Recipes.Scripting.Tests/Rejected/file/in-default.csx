// R2002 no-assembly
string Read(string path = System.IO.Path.DirectorySeparatorChar.ToString()) => path;

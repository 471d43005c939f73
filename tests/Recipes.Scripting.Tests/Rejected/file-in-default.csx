// R2002
string Read(string path = System.IO.Path.DirectorySeparatorChar.ToString()) => path;

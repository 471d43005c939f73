// R2002
using Disk = System.IO.File;
Disk.Delete("/tmp/recipes-canary");

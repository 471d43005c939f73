// R2002
using static System.IO.File;
Delete("/tmp/recipes-canary");

// R2003 no-assembly
partial class Native
{
    [System.Runtime.InteropServices.LibraryImport("libc")]
    public static partial int getpid();
}

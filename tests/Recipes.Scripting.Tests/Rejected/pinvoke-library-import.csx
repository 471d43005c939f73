// R2003
partial class Native
{
    [System.Runtime.InteropServices.LibraryImport("libc")]
    public static partial int getpid();
}

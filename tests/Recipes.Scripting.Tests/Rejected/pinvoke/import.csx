// R2003
class Native
{
    [System.Runtime.InteropServices.DllImport("libc")]
    public static extern int getpid();
}

Report.Note($"{Native.getpid()}");

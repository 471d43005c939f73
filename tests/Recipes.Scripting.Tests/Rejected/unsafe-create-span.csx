// R2002
int Past()
{
    var s = System.Runtime.InteropServices.MemoryMarshal.CreateSpan(ref new int[1][0], 1000);
    return s[999];
}

Past();

// R2003
class M
{
    [System.Runtime.CompilerServices.ModuleInitializer]
    public static void Start()
    {
        while (true) { }
    }
}

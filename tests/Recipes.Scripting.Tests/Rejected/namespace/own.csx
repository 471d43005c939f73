// R2003 no-assembly
namespace Wing
{
    class C { }
}

// R2003 no-assembly
namespace System.Evil
{
    class C { }
}

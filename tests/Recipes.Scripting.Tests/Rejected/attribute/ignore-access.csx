// R2003 no-assembly
namespace System.Runtime.CompilerServices
{
    class IgnoresAccessChecksToAttribute : Attribute
    {
        public IgnoresAccessChecksToAttribute(string name) { }
    }
}

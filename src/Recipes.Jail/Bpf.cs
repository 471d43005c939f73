using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>One instruction of the classic Berkeley packet filter, laid out as <c>struct sock_filter</c> of linux/filter.h.</summary>
[StructLayout(LayoutKind.Sequential)]
internal readonly record struct BpfInstruction(ushort Code, byte True, byte False, uint Operand)
{
    private const ushort LoadWord = 0x20, AndOperand = 0x54, JumpEqual = 0x15, JumpAtLeast = 0x35, ReturnOperand = 0x06;

    /// <summary>Loads 32 bits of <c>struct seccomp_data</c>.</summary>
    public static BpfInstruction Load(uint offset) => new(LoadWord, 0, 0, offset);

    /// <summary>Keeps some bits of what was loaded.</summary>
    public static BpfInstruction And(uint mask) => new(AndOperand, 0, 0, mask);

    /// <summary>Goes on after skipping so many instructions.</summary>
    public static BpfInstruction IfEqual(uint value, int skipWhenEqual, int skipOtherwise) =>
        new(JumpEqual, checked((byte)skipWhenEqual), checked((byte)skipOtherwise), value);

    /// <summary>Goes on after skipping so many instructions.</summary>
    public static BpfInstruction IfAtLeast(uint value, int skipWhenSo, int skipOtherwise) =>
        new(JumpAtLeast, checked((byte)skipWhenSo), checked((byte)skipOtherwise), value);

    /// <summary>Ends with a verdict.</summary>
    public static BpfInstruction Return(uint verdict) => new(ReturnOperand, 0, 0, verdict);
}

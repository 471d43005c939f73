using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>
/// A system-call filter: rules in order, the first that fits decides, and a verdict for everything else. Calls of another
/// processor mode are killed, so that a number never means another call than the table says.
/// </summary>
/// <remarks>seccomp(2); <c>struct seccomp_data</c> of linux/seccomp.h: number at 0, architecture at 4, arguments from 16, 8 bytes each.</remarks>
internal sealed class SeccompFilter
{
    /// <summary>Ends the process; the call isn't made.</summary>
    public const uint Kill = 0x8000_0000;

    /// <summary>Makes the call.</summary>
    public const uint Allow = 0x7fff_0000;

    // AUDIT_ARCH_X86_64 and AUDIT_ARCH_AARCH64 of linux/audit.h; the bit that marks x32 calls (asm/unistd.h).
    private const uint AuditX64 = 0xC000_003E, AuditArm64 = 0xC000_00B7, X32Bit = 0x4000_0000;
    private const uint NumberOffset = 0, ArchitectureOffset = 4, ArgumentsOffset = 16;

    private readonly Architecture architecture;
    private readonly List<BpfInstruction> program = [];

    /// <summary>Starts a filter for a processor.</summary>
    public SeccompFilter(Architecture architecture)
    {
        this.architecture = architecture;
        program.Add(BpfInstruction.Load(ArchitectureOffset));
        program.Add(BpfInstruction.IfEqual(architecture == Architecture.X64 ? AuditX64 : AuditArm64, 1, 0));
        program.Add(BpfInstruction.Return(Kill));
        program.Add(BpfInstruction.Load(NumberOffset));
        if (architecture == Architecture.X64)
        {
            program.Add(BpfInstruction.IfAtLeast(X32Bit, 0, 1));
            program.Add(BpfInstruction.Return(Kill));
        }
    }

    /// <summary>Fails the call with an error number instead of making it.</summary>
    public static uint Fail(int error) => 0x0005_0000u | (uint)error;

    /// <summary>Gives calls a verdict, whatever their arguments. A call that this processor doesn't have needs no rule.</summary>
    public SeccompFilter On(uint verdict, params ReadOnlySpan<string> names)
    {
        foreach (string name in names)
        {
            if (SystemCall.Named(name).On(architecture) is { } number)
            {
                program.Add(BpfInstruction.IfEqual((uint)number, 0, 1));
                program.Add(BpfInstruction.Return(verdict));
            }
        }

        return this;
    }

    /// <summary>Allows a call only where each of the arguments, in some bits of its low half, has one of the values it may have.</summary>
    public SeccompFilter Only(string name, uint otherwise, params ReadOnlySpan<Permitted> arguments)
    {
        if (SystemCall.Named(name).On(architecture) is not { } number)
        {
            return this;
        }

        int length = 1;
        foreach (var argument in arguments)
        {
            length += 3 + argument.Values.Length;
        }

        program.Add(BpfInstruction.IfEqual((uint)number, 0, length));
        foreach (var argument in arguments)
        {
            program.Add(BpfInstruction.Load(Low(argument.Number)));
            program.Add(BpfInstruction.And(argument.Bits));
            for (int left = argument.Values.Length; left > 0; left--)
            {
                // Past the other values and the refusal behind them.
                program.Add(BpfInstruction.IfEqual(argument.Values[^left], left, 0));
            }

            program.Add(BpfInstruction.Return(otherwise));
        }

        program.Add(BpfInstruction.Return(Allow));
        return this;
    }

    /// <summary>Allows a call only where each of the listed arguments is zero in all of its 64 bits.</summary>
    public SeccompFilter OnlyZero(string name, ReadOnlySpan<int> arguments, uint otherwise)
    {
        int number = SystemCall.Named(name).On(architecture)
            ?? throw new ArgumentException($"{name} doesn't exist on {architecture}.", nameof(name));
        int length = (4 * arguments.Length) + 2;
        program.Add(BpfInstruction.IfEqual((uint)number, 0, length));
        int left = length;
        foreach (int argument in arguments)
        {
            foreach (uint half in (ReadOnlySpan<uint>)[Low(argument), Low(argument) + 4])
            {
                // To the last instruction of this rule, the other verdict.
                left -= 2;
                program.Add(BpfInstruction.Load(half));
                program.Add(BpfInstruction.IfEqual(0, 0, left - 1));
            }
        }

        program.Add(BpfInstruction.Return(Allow));
        program.Add(BpfInstruction.Return(otherwise));
        return this;
    }

    /// <summary>The finished program, ending with a verdict for everything that no rule names.</summary>
    public BpfInstruction[] Build(uint otherwise) => [.. program, BpfInstruction.Return(otherwise)];

    // Little-endian on both processors: the low half comes first.
    private static uint Low(int argument) => ArgumentsOffset + (8 * (uint)argument);
}

/// <summary>What an argument of a call may be.</summary>
/// <param name="Number">Which argument, from 0.</param>
/// <param name="Bits">The bits that count; the others may be anything.</param>
/// <param name="Values">The values that these may have.</param>
internal readonly record struct Permitted(int Number, uint Bits, params uint[] Values);

namespace Recipes.Jail.Tests;

/// <summary>Runs a filter as the kernel does: a second reading of the classic filter machine, from linux/filter.h and its documentation.</summary>
internal static class Bpf
{
    /// <param name="program">The filter.</param>
    /// <param name="architecture">As linux/audit.h numbers it.</param>
    /// <param name="number">The call's.</param>
    /// <param name="arguments">The call's first arguments; the others are 0.</param>
    /// <param name="passed">Takes the instructions that were run, by their place.</param>
    public static uint Run(BpfInstruction[] program, uint architecture, uint number, ulong[] arguments, ISet<int>? passed = null)
    {
        var data = new byte[64];
        BitConverter.TryWriteBytes(data, number);
        BitConverter.TryWriteBytes(data.AsSpan(4), architecture);
        for (int i = 0; i < arguments.Length; i++)
        {
            BitConverter.TryWriteBytes(data.AsSpan(16 + (8 * i)), arguments[i]);
        }

        uint accumulator = 0;
        for (int at = 0; at < program.Length; at++)
        {
            var (code, whenTrue, whenFalse, operand) = program[at];
            passed?.Add(at);
            // Class in the lowest three bits: 0 load, 4 arithmetic, 5 jump, 6 return.
            switch (code & 7)
            {
                case 0:
                    accumulator = BitConverter.ToUInt32(data, (int)operand);
                    break;
                case 4:
                    accumulator = (code & 0xf0) == 0x50 ? accumulator & operand : throw new InvalidOperationException($"arithmetic {code:x}");
                    break;
                case 5:
                    bool holds = (code & 0xf0) switch
                    {
                        0x10 => accumulator == operand,
                        0x30 => accumulator >= operand,
                        _ => throw new InvalidOperationException($"jump {code:x}"),
                    };
                    at += holds ? whenTrue : whenFalse;
                    break;
                case 6:
                    return operand;
                default:
                    throw new InvalidOperationException($"instruction {code:x}");
            }
        }

        throw new InvalidOperationException("The filter ends without a verdict.");
    }
}

namespace Recipes.Jail;

/// <summary>How a confined process ended.</summary>
/// <param name="Signal">The signal that ended it, or 0.</param>
/// <param name="ExitCode">Its exit code where no signal ended it.</param>
public readonly record struct ProcessEnd(int Signal, int ExitCode)
{
    /// <summary>It made a system call that its filter forbids.</summary>
    public bool IsForbiddenCall => Signal == Libc.SignalBadCall;

    /// <summary>It used up its processor time.</summary>
    public bool IsCpuTime => Signal == Libc.SignalCpuTime;

    /// <summary>In words, for a message.</summary>
    public override string ToString() => Signal switch
    {
        0 => $"exit code {ExitCode}",
        Libc.SignalBadCall => "a forbidden system call",
        Libc.SignalCpuTime => "its processor time was used up",
        Libc.SignalAbort => "it gave up (SIGABRT)",
        Libc.SignalSegmentation => "a memory fault (SIGSEGV)",
        Libc.SignalIllegal => "an illegal instruction (SIGILL)",
        Libc.SignalKill => "it was killed (SIGKILL)",
        _ => $"signal {Signal}",
    };

    internal static ProcessEnd FromStatus(int status) => (status & 0x7f) is not 0 and var signal ? new(signal, 0) : new(0, (status >> 8) & 0xff);
}

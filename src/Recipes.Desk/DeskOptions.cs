namespace Recipes.Desk;

/// <summary>How a desk is started.</summary>
/// <param name="Folders">The folders whose pictures and order lists it shows; nothing outside of them is opened or written.</param>
internal sealed record DeskOptions(IReadOnlyList<string> Folders)
{
    /// <summary>The port on this machine's own address; 0 takes a free one.</summary>
    public int Port { get; init; }

    /// <summary>Who works there unless the page is told otherwise, or null.</summary>
    public string? By { get; init; }

    /// <summary>The folder of all work files; null where each lies beside its art.</summary>
    public string? WorkFolder { get; init; }

    /// <summary>The clock that steps are dated by.</summary>
    public TimeProvider Clock { get; init; } = TimeProvider.System;
}

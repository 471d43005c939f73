using Recipes.Imaging;

namespace Recipes.Protocol;

/// <summary>What a figure lies on, as it crosses the process boundary or is kept in a cache.</summary>
public static class GroundMessage
{
    /// <summary>Writes it.</summary>
    public static void Write(MessageWriter writer, Ground ground)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(ground);
        writer.Number((int)ground.Kind);
        writer.Color(ground.Paper);
        writer.Box(ground.Edge);
        writer.Number(ground.Scale);
        writer.Optional(ground.Whole);
    }

    /// <summary>Reads it; whoever takes it from a stranger holds the edge against the canvas.</summary>
    /// <exception cref="FrameException">The bytes hold none.</exception>
    public static Ground Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new Ground((ArtKind)reader.OneOf(Enum.GetValues<ArtKind>().Length), reader.Color(), reader.Box())
        {
            Scale = reader.RealNumber(), Whole = reader.OptionalBox(),
        };
    }
}

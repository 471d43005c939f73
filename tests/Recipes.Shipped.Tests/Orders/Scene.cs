using Recipes.Imaging;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>A drawing for the harbor fun run that we know everything about.</summary>
/// <param name="Opaque">True where the drawing fills its frame, so that it lies on nothing.</param>
/// <param name="Change">How it is drawn otherwise than as it was thought.</param>
internal sealed record Scene(string Name, int Width, int Height, Action<OrderDrawing> Draw, bool Opaque = false, Change? Change = null)
{
    private readonly Lazy<Rendering> rendering = new(() =>
    {
        var drawing = new OrderDrawing(Change ?? Change.None(Width, Height));
        Draw(drawing);
        return drawing.Render();
    });

    public Rendering Rendering => rendering.Value;

    /// <summary>The same drawing, as a seed changes it.</summary>
    public Scene Changed(int seed, bool mayTurn) => new($"{Name}~{seed}", Width, Height, Draw, Opaque, Change.Of(seed, this, mayTurn));

    public override string ToString() => Name;
}

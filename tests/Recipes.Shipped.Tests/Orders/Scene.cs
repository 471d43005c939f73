using Recipes.Imaging;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>A drawing for the harbor fun run that we know everything about.</summary>
/// <param name="Opaque">True where the drawing fills its frame, so that it lies on nothing.</param>
internal sealed record Scene(string Name, int Width, int Height, Action<OrderDrawing> Draw, bool Opaque = false)
{
    private readonly Lazy<Rendering> rendering = new(() =>
    {
        var drawing = new OrderDrawing(Width, Height);
        Draw(drawing);
        return drawing.Render();
    });

    public Rendering Rendering => rendering.Value;

    public override string ToString() => Name;
}

"""One law per module: pure functions of plain numbers, natural units, section and edition named.

Conductor sizes are written as the trade does: "14", "12", "1/0". Figures come from `models.tables`.
"""

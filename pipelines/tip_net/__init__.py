"""Training and measuring the tip net: two small nets that find and outline firing ends.

The coarse net looks at the whole photo and says where firing ends are; the fine net looks at one of
them closely and says which pixel is nose. Torch trains them, tipvision runs them by OpenCV.
"""
